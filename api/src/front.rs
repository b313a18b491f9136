//! The door: every request is named, known by its token, let in or turned away, and logged.

mod headers;
mod limits;
mod nowhere;
mod trace;

pub use limits::Limits;
pub use nowhere::nowhere;
pub use trace::Trace;

use crate::{
    access, answer,
    caller::Caller,
    clock,
    openapi::{OperationName, Operations},
    pages::{self, Visit},
    problem::{Kind, PROBLEM, Problem},
    service::tokens::{self, Shown, Token},
    state::State,
    store::sites::SiteRow,
};
use actix_web::{
    Error, HttpMessage as _, HttpRequest, HttpResponse, ResponseError as _,
    body::{BoxBody, MessageBody, to_bytes},
    cookie::Cookie,
    dev::{ServiceRequest, ServiceResponse},
    http::{Method, header, header::HeaderMap},
    middleware::Next,
    web,
};
use std::time::Instant;
use tracing::{Instrument as _, field::Empty};

/// The cookie in which a browser keeps its token.
pub const COOKIE: &str = "weighhouse";
/// Where a browser shows its token.
pub const SIGN_IN: &str = "/sign-in";
/// Where a reader chooses the language of the pages.
pub const LANGUAGE: &str = "/language";
/// Longest name of a request that is taken from the client.
const REQUEST_ID_CHARS_MAX: usize = 64;
/// What needs no token: no word of it is about the shop.
const OPEN: [&str; 6] = ["/healthz", "/readyz", "/openapi.json", SIGN_IN, LANGUAGE, "/docs"];
/// Folders of which the same is true.
const OPEN_FOLDERS: [&str; 2] = ["/docs/", "/assets/"];

/// Answers a request, or says why not.
///
/// # Errors
/// Those of the service behind it.
pub async fn door<B: MessageBody + 'static>(
    mut request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    // A HEAD is a GET whose body the protocol layer leaves out.
    if request.method() == Method::HEAD {
        request.head_mut().method = Method::GET;
    }
    let name = (request.method().to_string(), request.path().to_owned(), request_id(&request));
    let (request_id, trace) = (&name.2, trace::of(request.headers()));
    // An error's span: what goes wrong names its request also where little is logged.
    let span = tracing::error_span!(
        "request",
        %request_id,
        trace_id = %trace.id,
        parent_id = trace.parent,
        operation = Empty,
        status = Empty
    );
    respond(request, next, name).instrument(span).await
}

async fn respond<B: MessageBody + 'static>(
    request: ServiceRequest,
    next: Next<B>,
    name: RequestName,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let began = Instant::now();
    let asked = operation(&request);
    // What the list does not know is passed on to nobody: whose it is cannot be judged.
    let leads_on = asked.is_some() || is_open(&name.1);
    let operation = asked.map(|asked| asked.id.clone());
    let span = tracing::Span::current();
    if let Some(operation) = &operation {
        span.record("operation", operation);
    }
    let state = request.app_data::<web::Data<State>>().cloned();
    let count = state.map(|state| UnderWay::new(state, operation, began));
    let (who, mut response) = match enter(&request, &name, asked).await {
        Ok(caller) => {
            let who = caller.who.clone();
            let answer = async {
                let response = if leads_on {
                    next.call(request).await?.map_into_boxed_body()
                } else {
                    let answer = nowhere(request.request());
                    request.into_response(answer)
                };
                Ok::<_, Error>(in_page(response).await)
            };
            (who, caller.carry(answer).await?)
        }
        Err(problem) => ("nobody".to_owned(), turn_away(request, &problem).await),
    };
    let (method, path, request_id) = name;
    headers::add(response.headers_mut(), &path, &request_id);
    let micros = u64::try_from(began.elapsed().as_micros()).unwrap_or(u64::MAX);
    let status = response.status().as_u16();
    span.record("status", status);
    if let Some(mut count) = count {
        count.status = status;
    }
    tracing::info!(%method, %path, status, micros, %who, "request");
    Ok(response)
}

/// A request that is counted as under way until it is answered, or whoever asked goes away.
struct UnderWay {
    state: web::Data<State>,
    operation: Option<String>,
    began: Instant,
    status: u16,
}

/// What a request without an answer is counted as.
const NO_ANSWER: u16 = 500;

impl UnderWay {
    fn new(state: web::Data<State>, operation: Option<String>, began: Instant) -> Self {
        state.metrics.begin();
        Self { state, operation, began, status: NO_ANSWER }
    }
}

impl Drop for UnderWay {
    fn drop(&mut self) {
        self.state.metrics.end(self.operation.take(), self.status, self.began.elapsed());
    }
}

/// What the route list calls the request. The path is as the router reads it, its `%74` and
/// the like read: what it finds is judged.
fn operation(request: &ServiceRequest) -> Option<&OperationName> {
    operations(request.request())?.find(request.method(), request.match_info().as_str())
}

fn operations(request: &HttpRequest) -> Option<&web::Data<Operations>> {
    request.app_data()
}

type RequestName = (String, String, String);

/// Who comes in, to which operation.
async fn enter(
    request: &ServiceRequest,
    name: &RequestName,
    asked: Option<&OperationName>,
) -> Result<Caller, Problem> {
    let (method, path, request_id) = name.clone();
    let named = |who: &str, job, token| Caller {
        who: who.to_owned(),
        job,
        token,
        method,
        path,
        request_id,
    };
    not_from_elsewhere(request)?;
    if is_open(&name.1) {
        return Ok(named("anybody", access::Job::Reader, None));
    }
    without_nul(request)?;
    let (shown, counts) = judged(request).await?;
    if let Some(counts) = counts {
        request.extensions_mut().insert(counts);
    }
    match shown {
        Shown::NothingNeeded => {
            local_name(request)?;
            Ok(named("local", access::Job::Owner, None))
        }
        Shown::Token(token) => {
            limits(request)?.take(&token.id.to_string())?;
            allowed(request, asked, &token)?;
            Ok(named(&token.name, token.job, Some(token.id)))
        }
        Shown::NotEnough => {
            limits(request)?.take_stranger(request.peer_addr())?;
            Err(Problem::new(
                Kind::NotSignedIn,
                "no token of this shop that opens anything: send `Authorization: Bearer TOKEN`, \
                 or sign in at /sign-in; `weighhouse token add` makes one",
            ))
        }
    }
}

/// Whether anybody may read a path.
#[must_use]
pub fn is_open(path: &str) -> bool {
    OPEN.contains(&path) || OPEN_FOLDERS.iter().any(|folder| path.starts_with(folder))
}

/// The counters of the shop that the door saw; none where it had no need to look.
pub fn counts(request: &HttpRequest) -> Option<SiteRow> {
    request.extensions().get().copied()
}

async fn judged(request: &ServiceRequest) -> Result<(Shown, Option<SiteRow>), Problem> {
    let state = request.app_data::<web::Data<State>>().cloned();
    let state = state.ok_or_else(|| Problem::new(Kind::Internal, "the server has no state"))?;
    let shown = shown(request.headers())
        .or_else(|| cookie(request.request(), COOKIE).map(|cookie| cookie.value().to_owned()));
    answer::one_row(state, move |state, tx| tokens::judge(state, tx, shown.as_deref())).await
}

/// A cookie of a request. Where there is none at all, nothing is read.
#[must_use]
pub fn cookie(request: &HttpRequest, name: &str) -> Option<Cookie<'static>> {
    request.headers().contains_key(header::COOKIE).then(|| request.cookie(name))?
}

/// The token in the header of a request.
fn shown(headers: &HeaderMap) -> Option<String> {
    let text = headers.get(header::AUTHORIZATION)?.to_str().ok()?;
    let (scheme, token) = text.split_once(' ')?;
    scheme.eq_ignore_ascii_case("bearer").then(|| token.trim().to_owned())
}

fn limits(request: &ServiceRequest) -> Result<&web::Data<Limits>, Problem> {
    let limits = request.app_data::<web::Data<Limits>>();
    limits.ok_or_else(|| Problem::new(Kind::Internal, "the server has no limits"))
}

fn allowed(
    request: &ServiceRequest,
    asked: Option<&OperationName>,
    token: &Token,
) -> Result<(), Problem> {
    let Some(operation) = asked else {
        // It leads nowhere, and is told so.
        return Ok(());
    };
    if access::allows(token.job, request.method(), &operation.tag, &operation.id) {
        return Ok(());
    }
    let detail = format!(
        "the token of {} is for the job {}, which does not include this call",
        token.name,
        token.job.word()
    );
    Err(Problem::new(Kind::NotAllowed, detail))
}

/// No name holds the character NUL, and no database can be asked for it.
fn without_nul(request: &ServiceRequest) -> Result<(), Problem> {
    let target = request.uri().path_and_query().map_or("", |target| target.as_str());
    if target.contains("%00") {
        let detail = "the address holds the character NUL (%00): leave it out";
        return Err(Problem::new(Kind::InvalidPath, detail));
    }
    Ok(())
}

/// A page of another site must not make a browser write here.
fn not_from_elsewhere(request: &ServiceRequest) -> Result<(), Problem> {
    if request.method().is_safe() {
        return Ok(());
    }
    let text = |name: &str| request.headers().get(name).and_then(|value| value.to_str().ok());
    let elsewhere =
        text("sec-fetch-site").is_some_and(|from| !["same-origin", "none"].contains(&from));
    let host = text("host").unwrap_or_default();
    let other = text("origin").is_some_and(|origin| {
        origin.split_once("://").is_none_or(|(_, authority)| authority != host)
    });
    if elsewhere || other {
        let detail = "a page of another site asked for this: open Weighhouse itself";
        return Err(Problem::new(Kind::FromElsewhere, detail));
    }
    Ok(())
}

/// Without tokens only names of this machine are answered, so that no page elsewhere can
/// reach it under a name of its own.
fn local_name(request: &ServiceRequest) -> Result<(), Problem> {
    let host = request.headers().get(header::HOST).and_then(|host| host.to_str().ok());
    let info = host.is_none().then(|| request.connection_info());
    let host = host.or(info.as_ref().map(|info| info.host())).unwrap_or_default();
    let name = match host.rsplit_once(':') {
        Some((name, port)) if port.bytes().all(|byte| byte.is_ascii_digit()) => name,
        _ => host,
    };
    let name = name.trim_start_matches('[').trim_end_matches(']');
    let loopback = name.parse::<std::net::IpAddr>().is_ok_and(|address| address.is_loopback());
    if loopback || name.eq_ignore_ascii_case("localhost") {
        return Ok(());
    }
    let detail = "without tokens this server answers under the names of its own machine only: \
                  make one with `weighhouse token add`";
    Err(Problem::new(Kind::FromElsewhere, detail))
}

async fn turn_away(request: ServiceRequest, problem: &Problem) -> ServiceResponse<BoxBody> {
    let page = pages::wanted(request.headers());
    if problem.kind == Kind::NotSignedIn && page && request.method() == Method::GET {
        let to_sign_in =
            HttpResponse::SeeOther().insert_header((header::LOCATION, SIGN_IN)).finish();
        return request.into_response(to_sign_in);
    }
    if page {
        let refusal = Visit::of(request.request()).refuse(problem).await;
        return request.into_response(refusal);
    }
    request.into_response(problem.error_response())
}

/// A problem as a page, where a browser asked for one.
async fn in_page(response: ServiceResponse<BoxBody>) -> ServiceResponse<BoxBody> {
    let media_type = response.headers().get(header::CONTENT_TYPE);
    let is_problem = media_type.is_some_and(|value| value == PROBLEM);
    let asked = response.request();
    if !is_problem || asked.method() != Method::GET || !pages::wanted(asked.headers()) {
        return response;
    }
    let (request, answer) = response.into_parts();
    let (head, body) = answer.into_parts();
    let document = to_bytes(body).await.unwrap_or_default();
    let refusal = match Problem::read(&String::from_utf8_lossy(&document)) {
        Some(problem) => Visit::of(&request).refuse(&problem).await,
        None => head.set_body(BoxBody::new(document)),
    };
    ServiceResponse::new(request, refusal)
}

/// The client's name of the request if it is a plain word, else a new one.
fn request_id(request: &ServiceRequest) -> String {
    let given = request.headers().get(headers::REQUEST_ID).and_then(|value| value.to_str().ok());
    let plain = |text: &&str| {
        (1..=REQUEST_ID_CHARS_MAX).contains(&text.len())
            && text.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"-_.".contains(&byte))
    };
    match (given.filter(plain), request.app_data::<web::Data<State>>()) {
        (Some(given), _) => given.to_owned(),
        (None, Some(state)) => clock::new_id(state.now()).to_string(),
        (None, None) => String::new(),
    }
}
