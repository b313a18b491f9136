//! Who looks at a page and in which language, and how a page goes out.

pub use crate::link::segment;

use super::{
    form::{Draft, Form},
    frame::{self, Frame, Page},
    refusal,
};
use crate::{
    access, answer,
    caller::Caller,
    document::parse_date,
    front,
    messages::{Language, Words},
    problem::{Kind, Problem},
    service::{Refusal, bakery},
    state::State,
    wire::amount::instant,
};
use actix_web::{
    FromRequest, HttpRequest, HttpResponse, ResponseError as _,
    dev::Payload,
    http::{Method, StatusCode, header},
    web,
};
use jiff::civil::Date;
use maud::html;
use serde::{Deserialize, Deserializer, de::Error as _};
use std::future::{Ready, ready};

/// The cookie that keeps the language chosen on a page.
pub const LANGUAGE_COOKIE: &str = "weighhouse-language";

/// A local date in the address of a page.
#[derive(Debug, Clone, Copy)]
pub struct Day(pub Date);

impl<'de> Deserialize<'de> for Day {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        let date = parse_date(&text).map(Self);
        date.ok_or_else(|| D::Error::custom("no date: write year-month-day, such as 2026-06-12"))
    }
}

/// A look at a page.
#[derive(Clone)]
pub struct Visit {
    /// The words of the reader's language.
    pub words: Words,
    caller: Option<Caller>,
    path: String,
    /// Where a chosen language leads back to.
    back: String,
    done: Option<String>,
    state: Option<web::Data<State>>,
}

impl FromRequest for Visit {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(Ok(Self::of(request)))
    }
}

impl Visit {
    /// The visit of a request.
    #[must_use]
    pub fn of(request: &HttpRequest) -> Self {
        let words = Words { language: language(request) };
        // Only a message of ours is shown, whatever an address says.
        let done = request.query_string().split('&').find_map(|part| part.strip_prefix("done="));
        let done = done.and_then(|done| words.find(&format!("done-{done}"), &[]));
        // Whoever has not come in is told nothing of the shop.
        let caller = Caller::current().filter(|_| !front::is_open(request.path()));
        Self {
            words,
            caller,
            path: request.path().to_owned(),
            // What was posted is not there to be read.
            back: if request.method() == Method::GET {
                request.uri().to_string()
            } else {
                "/".into()
            },
            done,
            state: request.app_data::<web::Data<State>>().cloned(),
        }
    }

    /// Who looks.
    #[must_use]
    pub const fn caller(&self) -> Option<&Caller> {
        self.caller.as_ref()
    }

    /// Whether who looks may read what has a tag.
    #[must_use]
    pub fn may_read(&self, tag: &str) -> bool {
        let caller = self.caller.as_ref();
        caller.is_some_and(|caller| access::allows(caller.job, &Method::GET, tag, ""))
    }

    /// Reads and draws a page off the request threads; what cannot be shown is said on a page.
    pub async fn show(
        self,
        draw: impl FnOnce(&State, Words) -> Result<Page, Refusal> + Send + 'static,
    ) -> HttpResponse {
        self.show_as(StatusCode::OK, draw).await
    }

    /// The same under another status.
    pub async fn show_as(
        self,
        status: StatusCode,
        draw: impl FnOnce(&State, Words) -> Result<Page, Refusal> + Send + 'static,
    ) -> HttpResponse {
        let Some(state) = self.state.clone() else { return stateless() };
        let visit = self.clone();
        let work = move |state: &State| {
            let page = draw(state, visit.words)?;
            Ok(visit.framed(state, &page))
        };
        match answer::read(state, work).await {
            Ok(text) => html_page(status, text),
            Err(problem) => self.refuse(&problem).await,
        }
    }

    /// Leads on to the page of today below a path, by the bakery's clock.
    pub async fn lead_to_today(self, path: &str) -> HttpResponse {
        let Some(state) = self.state.clone() else { return stateless() };
        match answer::read(state, bakery::today).await {
            Ok(today) => go_to(&format!("{path}/{today}")),
            Err(problem) => self.refuse(&problem).await,
        }
    }

    /// Says on a page why there is none.
    pub async fn refuse(self, problem: &Problem) -> HttpResponse {
        let page = refused(self.words, problem);
        let status = problem.status_code();
        let Some(state) = self.state.clone() else { return problem.error_response() };
        let visit = self;
        let drawn = answer::read(state, move |state| Ok(visit.framed(state, &page)));
        match drawn.await {
            Ok(text) => html_page(status, text),
            Err(problem) => problem.error_response(),
        }
    }

    /// Leads on after a form: to the path that came out, or back to the form with its faults.
    pub async fn settle(
        self,
        outcome: Result<String, Problem>,
        form: Form,
        again: impl FnOnce(&State, Words, Draft) -> Result<Page, Refusal> + Send + 'static,
    ) -> HttpResponse {
        let problem = match outcome {
            Ok(path) => return go_to(&path),
            Err(problem) => problem,
        };
        let status = problem.status_code();
        let draw = move |state: &State, words| {
            again(state, words, Draft::with_faults(state, form, &problem))
        };
        self.show_as(status, draw).await
    }

    fn framed(&self, state: &State, page: &Page) -> String {
        // A bakery that cannot be read leaves its name out and stops no page.
        let bakery =
            self.caller.as_ref().and_then(|_| state.store.read(|tx| bakery::load(state, tx)).ok());
        let now = bakery.as_ref().map(|bakery| instant(&bakery.site().time_zone, state.now()));
        let frame = Frame {
            words: self.words,
            bakery: bakery.as_ref().map(|bakery| bakery.site().name.as_str()),
            now: now.as_deref(),
            caller: self.caller.as_ref(),
            path: &self.path,
            back: &self.back,
            done: self.done.clone(),
        };
        frame::draw(&frame, page).into_string()
    }
}

/// Leads the browser on to a page that is read, so that loading it anew posts nothing.
///
/// # Source
/// RFC 9110, section 15.4.4.
#[must_use]
pub fn go_to(path: &str) -> HttpResponse {
    HttpResponse::SeeOther().insert_header((header::LOCATION, path)).finish()
}

fn stateless() -> HttpResponse {
    Problem::new(Kind::Internal, "the server has no state").error_response()
}

fn html_page(status: StatusCode, text: String) -> HttpResponse {
    HttpResponse::build(status).content_type("text/html; charset=utf-8").body(text)
}

/// The language that a request asks for: by its cookie, else by what its browser accepts, else
/// the one of the house.
#[must_use]
pub fn language(request: &HttpRequest) -> Language {
    let chosen = front::cookie(request, LANGUAGE_COOKIE);
    let chosen = chosen.and_then(|cookie| Language::from_code(cookie.value()));
    let accepted = request.headers().get(header::ACCEPT_LANGUAGE);
    let accepted = || Language::accepted(accepted?.to_str().ok()?);
    let house = || request.app_data::<web::Data<State>>().map(|state| state.language);
    chosen.or_else(accepted).or_else(house).unwrap_or(Language::English)
}

/// Why there is no page.
fn refused(words: Words, Problem { kind, detail, .. }: &Problem) -> Page {
    let (slug, ..) = kind.row();
    Page {
        title: words.say("refused-title"),
        main: html! {
            p { b { (refusal::sentence(words, slug, detail)) } (refusal::particulars(words, detail)) }
            p { a href="/" { (words.say("back-to-start")) } }
        },
    }
}
