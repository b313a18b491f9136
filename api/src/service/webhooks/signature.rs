//! The signature of a webhook.

use base64::{Engine as _, engine::general_purpose::STANDARD};
use hmac::{Hmac, KeyInit as _, Mac as _};
use sha2::Sha256;

/// The signature of a body by a secret in base64; none if the secret is no base64.
///
/// # Source
/// Standard Webhooks 1.0.0, "Signature scheme": HMAC-SHA-256 over `id.timestamp.body`, in
/// base64 after the version of the scheme.
#[must_use]
pub fn sign(secret: &str, id: &str, at_second: i64, body: &str) -> Option<String> {
    let key = STANDARD.decode(secret).ok()?;
    let mut mac = Hmac::<Sha256>::new_from_slice(&key).ok()?;
    mac.update(format!("{id}.{at_second}.{body}").as_bytes());
    Some(format!("v1,{}", STANDARD.encode(mac.finalize().into_bytes())))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_published_example_is_signed_alike() {
        // Source: the signing test of the specification's own reference libraries (MIT).
        let signed = sign(
            "MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw",
            "msg_p5jXN8AQM9LWM0D4loKWxJek",
            1_614_265_330,
            r#"{"test": 2432232314}"#,
        );
        assert_eq!(signed.as_deref(), Some("v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="));
    }

    #[test]
    fn the_code_of_rfc_4231_comes_out() {
        // Source: RFC 4231, test case 2: key "Jefe".
        let mut mac = Hmac::<Sha256>::new_from_slice(b"Jefe").expect("any key");
        mac.update(b"what do ya want for nothing?");
        assert_eq!(
            crate::digest::hex(&mac.finalize().into_bytes()),
            "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"
        );
    }
}
