//! The OpenAPI document, from the same list of routes that makes the router.

use crate::{problem::ProblemView, routes};
use actix_web::{App, http::Method};
use utoipa::{
    OpenApi,
    openapi::{
        Content, OpenApi as Document, Ref, RefOr, Required, Response, ResponseBuilder,
        path::{Operation, ParameterBuilder, ParameterIn, PathItem},
        schema::{Object, Type},
    },
};
use utoipa_actix_web::AppExt;

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
        (name = "bakery", description = "Reference data: what the bakery is."),
        (name = "orders", description = "Orders: taken whole, kept as versions."),
        (name = "stock", description = "Lots, and every movement of them."),
        (name = "loads", description = "The life of a load, from its release on."),
        (name = "overrides", description = "What people set by hand against the plan."),
        (name = "plan", description = "What a service date needs, down to each instant."),
        (name = "purchase", description = "What to order from whom, until when, and who gets how much of too little."),
        (name = "sheets", description = "What hands read: weigh-out, pick list, shortages."),
        (name = "statements", description = "What is in a product or a formula."),
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
        .content("application/problem+json", Content::new(Some(RefOr::Ref(schema))))
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
            operation
                .responses
                .responses
                .entry("default".to_owned())
                .or_insert_with(|| RefOr::T(problem.clone()));
        }
    }
    document
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

/// Which methods each path takes, for saying so when another is asked for.
#[derive(Debug, Clone)]
pub struct Methods(Vec<(Vec<String>, Vec<Method>)>);

impl Methods {
    /// The methods of a document's paths.
    #[must_use]
    pub fn of(document: &Document) -> Self {
        let segments = |path: &str| path.split('/').map(str::to_owned).collect();
        let paths = document.paths.paths.iter();
        Self(paths.map(|(path, item)| (segments(path), methods(item))).collect())
    }

    /// The methods that a path takes; none if it leads nowhere.
    #[must_use]
    pub fn allowed(&self, path: &str) -> Vec<Method> {
        let asked: Vec<&str> = path.split('/').collect();
        let fits = |segments: &[String]| {
            segments.len() == asked.len()
                && segments.iter().zip(&asked).all(|(segment, asked)| {
                    if segment.starts_with('{') { !asked.is_empty() } else { segment == asked }
                })
        };
        let mut allowed = Vec::new();
        for (_, methods) in self.0.iter().filter(|(segments, _)| fits(segments)) {
            for method in methods {
                if !allowed.contains(method) {
                    allowed.push(method.clone());
                }
            }
        }
        allowed
    }
}

fn methods(item: &PathItem) -> Vec<Method> {
    let mut found = Vec::new();
    if item.get.is_some() {
        found.extend([Method::GET, Method::HEAD]);
    }
    let rest = [
        (&item.put, Method::PUT),
        (&item.post, Method::POST),
        (&item.patch, Method::PATCH),
        (&item.delete, Method::DELETE),
    ];
    found.extend(rest.into_iter().filter(|(on, _)| on.is_some()).map(|(_, method)| method));
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_knows_its_methods() {
        let methods = Methods::of(&document());
        assert_eq!(methods.allowed("/v1/items/rye"), [Method::GET, Method::HEAD, Method::PUT]);
        assert_eq!(methods.allowed("/v1/items/"), [] as [Method; 0]);
        assert_eq!(methods.allowed("/v2/items"), [] as [Method; 0]);
    }
}
