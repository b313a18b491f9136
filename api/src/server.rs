//! The HTTP server: for the binary, or inside another process for tests.

use crate::{
    clock::Clock,
    config::Config,
    extract,
    openapi::{self, Methods},
    problem::{Kind, Problem},
    routes,
    state::State,
    store::StoreError,
};
use actix_web::{
    App, HttpRequest, HttpResponse, HttpServer, ResponseError,
    dev::{Server, ServerHandle, Service},
    http::{Method, header},
    web,
};
use std::{
    net::{SocketAddr, TcpListener},
    sync::mpsc,
    thread::JoinHandle,
};
use utoipa_actix_web::AppExt;
use utoipa_swagger_ui::SwaggerUi;

/// How long requests under way may take once the server was told to stop.
const SHUTDOWN_SECONDS: u64 = 5;

/// Most characters of an address that an answer repeats.
const PATH_CHARS_SHOWN: usize = 100;

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
    let workers = config.workers;
    let (send, receive) = mpsc::channel();
    let thread = std::thread::spawn(move || {
        actix_web::rt::System::new().block_on(async move {
            match serve(state, listener, workers, false) {
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
    state: State,
    address: SocketAddr,
    workers: usize,
    ready: impl FnOnce(SocketAddr),
) -> Result<(), ServerError> {
    let (listener, address) = listen(address)?;
    actix_web::rt::System::new().block_on(async move {
        let server = serve(web::Data::new(state), listener, workers, true)?;
        ready(address);
        server.await
    })?;
    Ok(())
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
    workers: usize,
    signals: bool,
) -> std::io::Result<Server> {
    let document = openapi::document();
    let methods = Methods::of(&document);
    let server = HttpServer::new(move || {
        let (app, _) = App::new()
            .configure(extract::configure)
            .app_data(state.clone())
            .app_data(web::Data::new(methods.clone()))
            .into_utoipa_app()
            .openapi(openapi::frame())
            .configure(routes::configure)
            .split_for_parts();
        app.service(SwaggerUi::new("/docs/{_:.*}").url("/openapi.json", document.clone()))
            .route("/docs", web::get().to(async || web::Redirect::to("/docs/")))
            .default_service(web::to(lead_nowhere))
            .wrap_fn(|mut request, service| {
                // A HEAD is a GET whose body the protocol layer leaves out.
                if request.method() == Method::HEAD {
                    request.head_mut().method = Method::GET;
                }
                tracing::info!(method = %request.method(), path = request.path(), "request");
                service.call(request)
            })
    });
    let server = if signals { server } else { server.disable_signals() };
    Ok(server.workers(workers).shutdown_timeout(SHUTDOWN_SECONDS).listen(listener)?.run())
}

/// Answers what no route takes.
async fn lead_nowhere(request: HttpRequest, methods: web::Data<Methods>) -> HttpResponse {
    let allowed = methods.allowed(request.path());
    let path: String = request.path().chars().take(PATH_CHARS_SHOWN).collect();
    if allowed.is_empty() {
        let detail = format!("`{path}` leads nowhere: see /docs for every address");
        return Problem::new(Kind::NoSuchPath, detail).error_response();
    }
    let allow = allowed.iter().map(Method::as_str).collect::<Vec<_>>().join(", ");
    let detail = format!("`{path}` does not take {}: it takes {allow}", request.method());
    let mut response = Problem::new(Kind::MethodNotAllowed, detail).error_response();
    if let Ok(value) = header::HeaderValue::from_str(&allow) {
        response.headers_mut().insert(header::ALLOW, value);
    }
    response
}
