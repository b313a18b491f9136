//! The certificate with which the server speaks TLS.

use crate::config::TlsFiles;
use rustls::{
    ServerConfig,
    crypto::ring,
    pki_types::{CertificateDer, PrivateKeyDer, pem::PemObject as _},
};
use std::{path::Path, sync::Arc};

/// Why the certificate cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum TlsError {
    /// A file cannot be read, or holds no PEM of its kind.
    #[error("no {what} can be read from {file}: {source}")]
    File {
        /// What was looked for.
        what: &'static str,
        /// Where.
        file: String,
        /// Why not.
        source: rustls::pki_types::pem::Error,
    },
    /// Certificate and key do not fit, or are of a kind that is not spoken.
    #[error("certificate and key cannot be used: {0}")]
    Unfit(#[from] rustls::Error),
}

/// Reads certificate and key.
///
/// # Errors
/// [`TlsError`]
pub fn read(files: &TlsFiles) -> Result<ServerConfig, TlsError> {
    let TlsFiles { certificate, key } = files;
    let fault = |what, file: &Path| {
        let file = file.display().to_string();
        move |source| TlsError::File { what, file, source }
    };
    let chain = CertificateDer::pem_file_iter(certificate)
        .and_then(Iterator::collect::<Result<Vec<_>, _>>)
        .map_err(fault("certificate", certificate))?;
    let key = PrivateKeyDer::from_pem_file(key).map_err(fault("private key", key))?;
    let config = ServerConfig::builder_with_provider(Arc::new(ring::default_provider()))
        .with_safe_default_protocol_versions()?
        .with_no_client_auth()
        .with_single_cert(chain, key)?;
    Ok(config)
}
