//! The HTTP server: for the binary, or inside another process for tests.

use crate::{
    clock::Clock,
    config::Config,
    extract,
    front::{self, Limits},
    openapi::{self, Operations},
    pages, routes,
    state::State,
    store::StoreError,
    streams::Streams,
    tls::{self, TlsError},
};
use actix_web::{
    App, HttpRequest, HttpServer,
    dev::{Server, ServerHandle},
    middleware::from_fn,
    rt::{self, signal},
    web,
};
use std::{
    net::{SocketAddr, TcpListener},
    pin::pin,
    sync::{Arc, mpsc},
    task::Poll,
    thread::JoinHandle,
    time::Duration,
};
use utoipa_actix_web::AppExt;
use utoipa_swagger_ui::SwaggerUi;

/// How long requests under way may take once the server was told to stop.
const SHUTDOWN_SECONDS: u64 = 30;

/// Why the server does not run.
#[derive(Debug, thiserror::Error)]
pub enum ServerError {
    /// The database cannot be opened.
    #[error("the database cannot be opened: {0}")]
    Store(#[from] StoreError),
    /// The address is taken or not ours.
    #[error("cannot listen on {address}: choose another address with --listen")]
    Listen {
        /// The address.
        address: SocketAddr,
        /// What the system says.
        source: std::io::Error,
    },
    /// The certificate cannot be used.
    #[error(transparent)]
    Tls(#[from] TlsError),
    /// The system failed while it ran.
    #[error("the server stopped")]
    Run(#[from] std::io::Error),
}

/// A server that runs in this process until it is stopped or dropped.
pub struct Started {
    /// Where it listens.
    pub address: SocketAddr,
    handle: ServerHandle,
    thread: Option<JoinHandle<()>>,
}

impl Started {
    /// Stops the server and waits until it has stopped.
    pub fn stop(self) {
        drop(self);
    }
}

impl Drop for Started {
    fn drop(&mut self) {
        // The order goes out at once; what is returned only waits for its end, as does the thread.
        drop(self.handle.stop(false));
        if let Some(thread) = self.thread.take() {
            // A thread that panicked has stopped too.
            let _ = thread.join();
        }
    }
}

/// Starts a server in this process; it answers when this returns.
///
/// # Errors
/// [`ServerError`]
pub fn start(config: &Config, clock: Clock) -> Result<Started, ServerError> {
    let state = web::Data::new(State::open(config, clock)?);
    let (listener, address) = listen(config.listen)?;
    let config = config.clone();
    let (send, receive) = mpsc::channel();
    let thread = std::thread::spawn(move || {
        actix_web::rt::System::new().block_on(async move {
            match serve(state, listener, &config) {
                Ok(server) => {
                    // If nobody waits any more, nobody wants the server either.
                    if send.send(Ok(server.handle())).is_ok() {
                        let _ = server.await;
                    }
                }
                Err(error) => drop(send.send(Err(error))),
            }
        });
    });
    let handle = receive.recv().map_err(|_| std::io::Error::other("the thread died"))??;
    Ok(Started { address, handle, thread: Some(thread) })
}

/// Runs the server until the process is told to stop; `ready` is called with its address.
///
/// # Errors
/// [`ServerError`]
pub fn run(
    state: Arc<State>,
    config: &Config,
    ready: impl FnOnce(SocketAddr),
) -> Result<(), ServerError> {
    let (listener, address) = listen(config.listen)?;
    actix_web::rt::System::new().block_on(async move {
        let server = serve(web::Data::from(Arc::clone(&state)), listener, config)?;
        rt::spawn(stop_when_told(state, server.handle(), config.drain));
        ready(address);
        Ok(server.await?)
    })
}

/// Waits until the process is told to stop, says so to those who ask whether the server is
/// ready, and lets it finish what is under way. Who tells it twice does not wait.
async fn stop_when_told(state: Arc<State>, server: ServerHandle, drain: Duration) {
    told().await;
    state.stop();
    if rt::time::timeout(drain, told()).await.is_ok() {
        return server.stop(false).await;
    }
    let at_once = server.clone();
    rt::spawn(async move {
        told().await;
        at_once.stop(false).await;
    });
    server.stop(true).await;
}

/// Comes back when the process is told to stop; never if the system cannot tell.
async fn told() {
    let terminated = async {
        match signal::unix::signal(signal::unix::SignalKind::terminate()) {
            Ok(mut signal) => drop(signal.recv().await),
            Err(_) => std::future::pending().await,
        }
    };
    let mut terminated = pin!(terminated);
    let mut interrupted = pin!(signal::ctrl_c());
    std::future::poll_fn(|context| {
        let told = terminated.as_mut().poll(context).is_ready()
            || matches!(interrupted.as_mut().poll(context), Poll::Ready(Ok(())));
        if told { Poll::Ready(()) } else { Poll::Pending }
    })
    .await;
}

fn listen(address: SocketAddr) -> Result<(TcpListener, SocketAddr), ServerError> {
    let bound = TcpListener::bind(address);
    let listener = bound.map_err(|source| ServerError::Listen { address, source })?;
    let address = listener.local_addr()?;
    Ok((listener, address))
}

/// The server on a socket; it runs when it is awaited.
fn serve(
    state: web::Data<State>,
    listener: TcpListener,
    config: &Config,
) -> Result<Server, ServerError> {
    let document = openapi::document();
    let operations = web::Data::new(Operations::of(&document));
    let limits = web::Data::new(Limits::new(config.rate_per_second));
    let streams = web::Data::new(Streams::default());
    let server = HttpServer::new(move || {
        let (app, _) = App::new()
            .configure(extract::configure)
            .configure(pages::form::configure)
            .app_data(state.clone())
            .app_data(operations.clone())
            .app_data(limits.clone())
            .app_data(streams.clone())
            .into_utoipa_app()
            .openapi(openapi::frame())
            .configure(routes::configure)
            .split_for_parts();
        app.service(SwaggerUi::new("/docs/{_:.*}").url("/openapi.json", document.clone()))
            .route("/docs", web::get().to(async || web::Redirect::to("/docs/")))
            .default_service(web::to(async |request: HttpRequest| front::nowhere(&request)))
            .wrap(from_fn(front::door))
    });
    let server =
        server.disable_signals().workers(config.workers).shutdown_timeout(SHUTDOWN_SECONDS);
    let server = match &config.tls {
        None => server.listen(listener)?,
        Some(files) => server.listen_rustls_0_23(listener, tls::read(files)?)?,
    };
    Ok(server.run())
}
