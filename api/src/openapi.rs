//! The OpenAPI document, from the same list of routes that makes the router.

use crate::{
    problem::{PROBLEM, ProblemView},
    routes,
};
use actix_web::{App, dev::ResourceDef, http::Method};
use utoipa::{
    OpenApi,
    openapi::{
        Content, OpenApi as Document, Ref, RefOr, Required, Response, ResponseBuilder,
        path::{Operation, ParameterBuilder, ParameterIn, PathItem},
        schema::{Object, Type},
    },
};
use utoipa_actix_web::AppExt;

/// The media type of a page.
const PAGE: &str = "text/html";

#[derive(OpenApi)]
#[openapi(
    info(
        title = "Weighhouse",
        description = "Turns a bakery's orders into the morning's weigh-out, pick list and \
                       shortages. Amounts are exact decimal strings with a unit; instants carry \
                       the bakery's offset; every answer that says no is a problem document \
                       (RFC 9457) that names the offending place."
    ),
    tags(
        (name = "running", description = "For whoever runs it."),
        (name = "measures", description = "What was counted, for whoever watches it."),
        (name = "bakery", description = "Reference data: what the bakery is."),
        (name = "orders", description = "Orders: taken whole, kept as versions."),
        (name = "stock", description = "Lots, and every movement of them."),
        (name = "loads", description = "The life of a load, from its release on."),
        (name = "overrides", description = "What people set by hand against the plan."),
        (name = "plan", description = "What a service date needs, down to each instant."),
        (name = "purchase", description = "What to order from whom, until when, and who gets how much of too little."),
        (name = "changes", description = "What happened, told in order: a feed to read or to follow."),
        (name = "sheets", description = "What hands read: weigh-out, pick list, shortages."),
        (name = "statements", description = "What is in a product or a formula."),
        (name = "tokens", description = "Who may ask for what, and who wrote what: the owner's."),
        (name = "webhooks", description = "Who is told of what happens: the owner's."),
        (name = "why", description = "How a printed number came about, step by step.")
    ),
    components(schemas(ProblemView))
)]
struct Frame;

/// The document without its operations.
#[must_use]
pub fn frame() -> Document {
    Frame::openapi()
}

/// The whole document.
#[must_use]
pub fn document() -> Document {
    let (_, collected) = App::new()
        .into_utoipa_app()
        .openapi(frame())
        .configure(routes::configure)
        .split_for_parts();
    finish(collected)
}

/// Adds to each operation what all of them share: the problem that says no, and the
/// key that makes a post safe to repeat.
fn finish(mut document: Document) -> Document {
    let schema = Ref::from_schema_name("ProblemView");
    let problem: Response = ResponseBuilder::new()
        .description("What is wrong, and where.")
        .content(PROBLEM, Content::new(Some(RefOr::Ref(schema))))
        .build();
    let key = ParameterBuilder::new()
        .name("Idempotency-Key")
        .parameter_in(ParameterIn::Header)
        .required(Required::False)
        .description(Some(
            "A name of your own for this request. The same request under it is answered with the \
             first answer again, and `Idempotency-Replayed: true`; another one is refused.",
        ))
        .schema(Some(Object::with_type(Type::String)))
        .build();
    for item in document.paths.paths.values_mut() {
        if let Some(post) = &mut item.post {
            post.parameters.get_or_insert_default().push(RefOr::T(key.clone()));
        }
        for operation in operations(item) {
            lists_are_tables(operation);
            sheets_speak(operation);
            let refusal = if is_a_page(operation) { in_page(&problem) } else { problem.clone() };
            let responses = &mut operation.responses.responses;
            responses.entry("default".to_owned()).or_insert_with(|| RefOr::T(refusal));
        }
    }
    document
}

/// Whether any answer of an operation is a page, or leads on to one as forms do.
fn is_a_page(operation: &Operation) -> bool {
    operation.responses.responses.iter().any(|(status, response)| match response {
        RefOr::T(response) => status == "303" || response.content.contains_key(PAGE),
        RefOr::Ref(_) => false,
    })
}

/// A browser is told on a page what others are told in a problem document.
fn in_page(problem: &Response) -> Response {
    let mut both = problem.clone();
    let text = Content::new(Some(Object::with_type(Type::String)));
    both.content.insert(PAGE.to_owned(), RefOr::T(text));
    both
}

/// Every page of a list also comes as a table for a spreadsheet.
fn lists_are_tables(operation: &mut Operation) {
    let Some(RefOr::T(response)) = operation.responses.responses.get_mut("200") else { return };
    let is_page = match response.content.get("application/json") {
        Some(RefOr::T(Content { schema: Some(RefOr::Ref(schema)), .. })) => {
            schema.ref_location.contains("/Page_")
        }
        _ => false,
    };
    if is_page {
        let text = Content::new(Some(Object::with_type(Type::String)));
        response.content.insert("text/csv".to_owned(), RefOr::T(text));
    }
}

/// Every sheet comes in the languages of the pages.
fn sheets_speak(operation: &mut Operation) {
    let Some(RefOr::T(response)) = operation.responses.responses.get("200") else { return };
    let is_sheet =
        response.content.contains_key("application/json") && response.content.contains_key(PAGE);
    if is_sheet {
        let language = ParameterBuilder::new()
            .name("language")
            .parameter_in(ParameterIn::Query)
            .required(Required::False)
            .description(Some(
                "The language of the sheet on paper: `en`, `de` or `fr`. Without it the cookie of \
                 the pages, `Accept-Language` and the setting of the house decide. JSON is the \
                 same in all of them.",
            ))
            .schema(Some(Object::with_type(Type::String)))
            .build();
        operation.parameters.get_or_insert_default().push(RefOr::T(language));
    }
}

fn operations(item: &mut PathItem) -> impl Iterator<Item = &mut Operation> {
    [&mut item.get, &mut item.put, &mut item.post, &mut item.patch, &mut item.delete]
        .into_iter()
        .flatten()
}

/// The document as it is committed.
///
/// # Errors
/// It cannot be written as JSON, which its types rule out.
pub fn text() -> Result<String, serde_json::Error> {
    Ok(serde_json::to_string_pretty(&document())? + "\n")
}

/// One operation of the document.
#[derive(Debug, Clone)]
pub struct OperationName {
    /// Its first tag.
    pub tag: String,
    /// Its `operationId`.
    pub id: String,
    /// As the router has it, so that both read a path alike.
    pattern: ResourceDef,
    /// Its strokes: a path with more or fewer is not looked at.
    strokes: usize,
    /// What stands before its first open part and after its last: quicker to see than the whole.
    ends: (String, String),
    method: Method,
}

/// The operations of the document by method and path: for saying which methods a path
/// takes, and for whom an operation is.
#[derive(Debug, Clone)]
pub struct Operations(Vec<OperationName>);

impl Operations {
    /// The operations of a document.
    #[must_use]
    pub fn of(document: &Document) -> Self {
        let mut all = Vec::new();
        for (path, item) in &document.paths.paths {
            for (method, operation) in named(item) {
                all.push(OperationName {
                    tag: operation.tags.iter().flatten().next().cloned().unwrap_or_default(),
                    id: operation.operation_id.clone().unwrap_or_default(),
                    pattern: ResourceDef::new(path.as_str()),
                    strokes: strokes(path),
                    ends: ends(path),
                    method,
                });
            }
        }
        Self(all)
    }

    /// Every operation, by path.
    pub fn iter(&self) -> impl Iterator<Item = (&Method, &OperationName)> {
        self.0.iter().map(|operation| (&operation.method, operation))
    }

    /// The methods that a path takes, by the path of the document with the fewest open parts
    /// that it fits; none if it leads nowhere.
    #[must_use]
    pub fn allowed(&self, path: &str) -> Vec<Method> {
        let mut allowed = Vec::new();
        let fitting: Vec<_> =
            self.0.iter().filter(|operation| operation.pattern.is_match(path)).collect();
        let least = fitting.iter().map(|operation| operation.open()).min();
        for operation in fitting.into_iter().filter(|operation| Some(operation.open()) == least) {
            if !allowed.contains(&operation.method) {
                allowed.push(operation.method.clone());
                if operation.method == Method::GET {
                    allowed.push(Method::HEAD);
                }
            }
        }
        allowed
    }

    /// The operation of a request; of two that fit, the one with fewer open parts.
    #[must_use]
    pub fn find(&self, method: &Method, path: &str) -> Option<&OperationName> {
        let strokes = strokes(path);
        let like = self.0.iter().filter(|operation| {
            let (begin, end) = &operation.ends;
            operation.strokes == strokes
                && operation.method == *method
                && path.starts_with(begin)
                && path.ends_with(end)
                && operation.pattern.is_match(path)
        });
        like.min_by_key(|operation| operation.open())
    }
}

/// What stands before the first open part of a pattern and after its last.
fn ends(pattern: &str) -> (String, String) {
    let begin = pattern.split('{').next().unwrap_or_default();
    let end = pattern.rsplit('}').next().filter(|_| begin != pattern).unwrap_or_default();
    (begin.to_owned(), end.to_owned())
}

fn strokes(path: &str) -> usize {
    path.bytes().filter(|&byte| byte == b'/').count()
}

impl OperationName {
    fn open(&self) -> usize {
        self.pattern.pattern().unwrap_or_default().matches('{').count()
    }
}

fn named(item: &PathItem) -> impl Iterator<Item = (Method, &Operation)> {
    let all = [
        (Method::GET, &item.get),
        (Method::PUT, &item.put),
        (Method::POST, &item.post),
        (Method::PATCH, &item.patch),
        (Method::DELETE, &item.delete),
    ];
    all.into_iter().filter_map(|(method, operation)| Some((method, operation.as_ref()?)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_answers_with_a_page_says_no_on_one_too() {
        let document = document();
        let default = |path: &str| {
            let get = document.paths.paths.get(path).and_then(|item| item.get.as_ref());
            match get.and_then(|get| get.responses.responses.get("default")) {
                Some(RefOr::T(response)) => response.content.keys().cloned().collect::<Vec<_>>(),
                _ => Vec::new(),
            }
        };
        assert_eq!(default("/weigh-out/{date}/{load}"), [PROBLEM, PAGE]);
        assert_eq!(default("/timeline"), [PROBLEM, PAGE]);
        assert_eq!(default("/v1/items/{code}"), [PROBLEM]);
    }

    #[test]
    fn a_path_knows_its_methods() {
        let operations = Operations::of(&document());
        assert_eq!(operations.allowed("/v1/items/rye"), [Method::GET, Method::HEAD, Method::PUT]);
        assert_eq!(operations.allowed("/v1/items/"), [] as [Method; 0]);
        assert_eq!(operations.allowed("/v2/items"), [] as [Method; 0]);
    }

    #[test]
    fn every_operation_is_found_by_its_own_path() {
        let operations = Operations::of(&document());
        for (method, operation) in operations.iter() {
            let mut path = String::new();
            assert!(operation.pattern.resource_path_from_iter(&mut path, std::iter::repeat("a.b")));
            let found = operations.find(method, &path).map(|found| &found.id);
            assert_eq!(found, Some(&operation.id), "{path}");
        }
    }
}
