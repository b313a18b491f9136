//! The API as a caller sees it: one method per call, answers as they came.

use crate::seen;
use anyhow::{Context, Result, bail};
use serde_json::Value;
use ureq::Agent;

/// A caller of one server.
#[derive(Debug)]
pub struct Client {
    agent: Agent,
    base: String,
    keys_given: std::cell::Cell<u64>,
    headers: Vec<(&'static str, String)>,
}

/// An answer, whatever its status.
#[derive(Debug)]
pub struct Reply {
    /// The HTTP status.
    pub status: u16,
    /// What the body says it is.
    pub media_type: String,
    /// The entity tag, if there is one.
    pub etag: Option<String>,
    /// The link to what comes next, if there is one.
    pub next: Option<String>,
    /// Whether it says that it was given before, to the same request.
    pub replayed: bool,
    /// Seconds after which the server would have the request again.
    pub retry_after: Option<u32>,
    /// Where it leads on to.
    pub location: Option<String>,
    /// The cookie that it sets.
    pub cookie: Option<String>,
    /// The body as it came.
    pub body: Vec<u8>,
}

impl Reply {
    /// The body as JSON.
    ///
    /// # Errors
    /// It is none.
    pub fn json(&self) -> Result<Value> {
        serde_json::from_slice(&self.body)
            .with_context(|| format!("status {} and no JSON: {}", self.status, self.text()))
    }

    /// The body as text.
    #[must_use]
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    /// Whether it is a problem of a kind, by the kind's slug.
    ///
    /// # Errors
    /// It is no JSON.
    pub fn is_problem(&self, slug: &str) -> Result<bool> {
        let typed = self.json()?["type"] == format!("/problems/{slug}");
        Ok(typed && self.media_type.starts_with("application/problem+json"))
    }

    /// The JSON of an answer that must be a success.
    ///
    /// # Errors
    /// It is a problem: shows its words.
    pub fn success(&self) -> Result<Value> {
        if (200..300).contains(&self.status) {
            return self.json();
        }
        bail!("status {}: {}", self.status, self.text())
    }
}

impl Client {
    /// A caller of the server at `base`, such as `http://127.0.0.1:8080`.
    #[must_use]
    pub fn new(base: impl Into<String>) -> Self {
        let agent: Agent = Agent::config_builder().http_status_as_error(false).build().into();
        Self { agent, base: base.into(), keys_given: std::cell::Cell::new(0), headers: Vec::new() }
    }

    /// Another caller of the same server, who sends a header with each request.
    #[must_use]
    pub fn with(&self, header: &'static str, value: &str) -> Self {
        let mut other = Self::new(self.base.clone());
        other.headers.clone_from(&self.headers);
        other.headers.push((header, value.to_owned()));
        other
    }

    /// Another caller of the same server, who shows a token.
    #[must_use]
    pub fn with_token(&self, token: &str) -> Self {
        self.with("Authorization", &format!("Bearer {token}"))
    }

    fn dress<B>(&self, request: ureq::RequestBuilder<B>) -> ureq::RequestBuilder<B> {
        let add = |request: ureq::RequestBuilder<B>, (name, value): &(&str, String)| {
            request.header(*name, value)
        };
        self.headers.iter().fold(request, add)
    }

    /// Follows a server that has moved; no key is given a second time.
    pub fn move_to(&mut self, base: String) {
        self.base = base;
    }

    /// The server that it calls.
    #[must_use]
    pub fn base(&self) -> &str {
        &self.base
    }

    /// Asks for a path with JSON wanted.
    ///
    /// # Errors
    /// The server does not answer.
    pub fn get(&self, path: &str) -> Result<Reply> {
        self.get_as(path, "application/json")
    }

    /// Asks for a path in a stated format.
    ///
    /// # Errors
    /// The server does not answer.
    pub fn get_as(&self, path: &str, media_type: &str) -> Result<Reply> {
        let request = self.dress(self.agent.get(self.url(path))).header("Accept", media_type);
        reply(("GET", path), request.call().with_context(|| format!("GET {path}"))?)
    }

    /// Puts a document that was never there, or that has the given entity tag.
    ///
    /// # Errors
    /// The server does not answer.
    pub fn put(&self, path: &str, body: &Value, etag: Option<&str>) -> Result<Reply> {
        self.put_text(path, &serde_json::to_vec(body)?, etag)
    }

    /// Puts a text that need not be JSON.
    ///
    /// # Errors
    /// The server does not answer.
    pub fn put_text(&self, path: &str, text: &[u8], etag: Option<&str>) -> Result<Reply> {
        self.put_file(path, "application/json", text, etag)
    }

    /// Puts a file of a media type.
    ///
    /// # Errors
    /// The server does not answer.
    pub fn put_file(
        &self,
        path: &str,
        media_type: &str,
        bytes: &[u8],
        etag: Option<&str>,
    ) -> Result<Reply> {
        let request = self.dress(self.agent.put(self.url(path))).header("Content-Type", media_type);
        let request = match etag {
            Some(etag) => request.header("If-Match", etag),
            None => request,
        };
        reply(("PUT", path), request.send(bytes).with_context(|| format!("PUT {path}"))?)
    }

    /// Posts a body under a key of its own.
    ///
    /// # Errors
    /// The server does not answer.
    pub fn post(&self, path: &str, body: &Value) -> Result<Reply> {
        self.keys_given.set(self.keys_given.get() + 1);
        self.post_under(path, body, &format!("key-{}", self.keys_given.get()))
    }

    /// Posts a body under a stated idempotency key.
    ///
    /// # Errors
    /// The server does not answer.
    ///
    /// # Source
    /// The Idempotency-Key draft makes the key a structured string: it stands in quotes.
    pub fn post_under(&self, path: &str, body: &Value, key: &str) -> Result<Reply> {
        self.post_text(path, &serde_json::to_vec(body)?, key)
    }

    /// Posts a text that need not be JSON.
    ///
    /// # Errors
    /// The server does not answer.
    pub fn post_text(&self, path: &str, text: &[u8], key: &str) -> Result<Reply> {
        let request = self
            .dress(self.agent.post(self.url(path)))
            .header("Content-Type", "application/json")
            .header("Idempotency-Key", format!("\"{key}\""));
        reply(("POST", path), request.send(text).with_context(|| format!("POST {path}"))?)
    }

    /// Posts a form as a browser does; the answer leads on and is not followed.
    ///
    /// # Errors
    /// The server does not answer.
    pub fn post_form(&self, path: &str, fields: &str) -> Result<Reply> {
        let request = self.dress(self.agent.post(self.url(path)));
        let request = request
            .header("Content-Type", "application/x-www-form-urlencoded")
            .header("Accept", "text/html")
            .config()
            .max_redirects(0)
            .build();
        reply(("POST", path), request.send(fields).with_context(|| format!("POST {path}"))?)
    }

    /// Deletes a path.
    ///
    /// # Errors
    /// The server does not answer.
    pub fn delete(&self, path: &str) -> Result<Reply> {
        let request = self.dress(self.agent.delete(self.url(path)));
        reply(("DELETE", path), request.call().with_context(|| format!("DELETE {path}"))?)
    }

    fn url(&self, path: &str) -> String {
        format!("{}{path}", self.base)
    }

    /// Loads a whole bakery document over whatever is there.
    ///
    /// # Errors
    /// The server does not answer.
    pub fn put_bakery(&self, bakery: &Value) -> Result<Reply> {
        let held = self.get("/v1/bakery")?;
        let etag = if held.status == 200 { held.etag } else { None };
        self.put("/v1/bakery", bakery, etag.as_deref())
    }

    /// Posts one order.
    ///
    /// # Errors
    /// The server does not answer.
    pub fn post_order(&self, order: &Value) -> Result<Reply> {
        self.post("/v1/orders", order)
    }

    /// Posts one receipt.
    ///
    /// # Errors
    /// The server does not answer.
    pub fn post_receipt(&self, receipt: &Value) -> Result<Reply> {
        self.post("/v1/receipts", receipt)
    }

    /// What a service date needs.
    ///
    /// # Errors
    /// The server does not answer, or with a problem.
    pub fn requirements(&self, service_date: &str) -> Result<Value> {
        let path = format!("/v1/service-dates/{service_date}/requirements");
        self.get(&path)?.success().with_context(|| path)
    }

    /// The times of a product for a drop on a service date.
    ///
    /// # Errors
    /// The call failed.
    pub fn schedule_of(&self, service_date: &str, product: &str, drop: &str) -> Result<Value> {
        let path =
            format!("/v1/service-dates/{service_date}/schedule?product={product}&drop={drop}");
        self.get(&path)?.success()
    }

    /// When everything for a service date happens.
    ///
    /// # Errors
    /// The call failed.
    pub fn schedule(&self, service_date: &str) -> Result<Value> {
        self.get(&format!("/v1/service-dates/{service_date}/schedule"))?.success()
    }

    /// Both views of a formula.
    ///
    /// # Errors
    /// The server does not answer, or with a problem.
    pub fn views(&self, formula: &str) -> Result<Value> {
        let path = format!("/v1/formulas/{formula}/views");
        self.get(&path)?.success().with_context(|| path)
    }

    /// A product's allergens, with some items exchanged: `from:to`, joined by commas.
    ///
    /// # Errors
    /// The server does not answer, or with a problem.
    pub fn allergens(&self, product: &str, swaps: &[(&str, &str)]) -> Result<Value> {
        let swaps: Vec<_> = swaps.iter().map(|(from, to)| format!("{from}:{to}")).collect();
        let query =
            if swaps.is_empty() { String::new() } else { format!("?swap={}", swaps.join(",")) };
        let path = format!("/v1/products/{product}/allergens{query}");
        self.get(&path)?.success().with_context(|| path)
    }

    /// What must be weighed on a work date.
    ///
    /// # Errors
    /// The server does not answer, or with a problem.
    pub fn weigh_out(&self, work_date: &str) -> Result<Value> {
        let path = format!("/v1/work-dates/{work_date}/weigh-out");
        self.get(&path)?.success().with_context(|| path)
    }

    /// What is short until a date.
    ///
    /// # Errors
    /// The server does not answer, or with a problem.
    pub fn shortages(&self, until: &str) -> Result<Value> {
        let path = format!("/v1/shortages?until={until}");
        self.get(&path)?.success().with_context(|| path)
    }
}

fn reply(
    (method, path): (&str, &str),
    mut response: ureq::http::Response<ureq::Body>,
) -> Result<Reply> {
    let header = |name: &str| {
        let value = response.headers().get(name)?;
        value.to_str().ok().map(str::to_owned)
    };
    let (media_type, etag) = (header("content-type").unwrap_or_default(), header("etag"));
    let retry_after = header("retry-after").and_then(|seconds| seconds.parse().ok());
    let (location, cookie) = (header("location"), header("set-cookie"));
    let next = header("link");
    let replayed = header("idempotency-replayed").is_some_and(|value| value == "true");
    let status = response.status().as_u16();
    let body = response.body_mut().with_config().limit(1 << 30).read_to_vec()?;
    seen::note(method, path, status, &body);
    Ok(Reply { status, media_type, etag, next, replayed, retry_after, location, cookie, body })
}
