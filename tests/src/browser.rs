//! A real browser that looks at our pages, driven by the standard protocol.
//!
//! # Source
//! W3C WebDriver, level 1; the commands are named beside their calls.

use anyhow::{Context, Result, bail, ensure};
use serde_json::{Value, json};
use std::{
    fs,
    io::{BufRead, BufReader},
    process::{Child, Command, Stdio},
};
use ureq::Agent;

/// What a driver calls an element.
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";
/// Where `.ci/run` lays the rules of accessibility.
const AXE: &str = "target/axe/axe.min.js";
/// What to do without a browser.
const INSTALL: &str = "a browser is missing: install chromium and chromium-driver, as .ci/run does";

/// A browser window of its own, with nothing remembered; it closes when it is dropped.
#[derive(Debug)]
pub struct Browser {
    driver: Child,
    agent: Agent,
    session: String,
    server: String,
}

/// An element of the page that is shown.
#[derive(Debug)]
pub struct Element(String);

impl Browser {
    /// Opens a window at the first page of a server.
    ///
    /// # Errors
    /// No browser is installed: says what to install; or it does not start.
    pub fn open(server: &str, scripts: bool) -> Result<Self> {
        let mut driver = Command::new("chromedriver")
            .arg("--port=0")
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .context(INSTALL)?;
        let port = port(&mut driver);
        let agent: Agent = Agent::config_builder().http_status_as_error(false).build().into();
        let mut browser = Self { driver, agent, session: String::new(), server: server.to_owned() };
        let base = format!("http://127.0.0.1:{}/session", port?);
        let arguments = [
            "--headless=new",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-dev-shm-usage",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--lang=en",
            "--window-size=1280,1000",
        ];
        // 2 blocks scripts of pages; what the driver itself asks still runs.
        let javascript = if scripts { 1 } else { 2 };
        let options = json!({
            "args": arguments,
            "prefs": {
                "profile.managed_default_content_settings.javascript": javascript,
                "intl.accept_languages": "en"
            }
        });
        let wanted = json!({"capabilities": {"alwaysMatch": {"goog:chromeOptions": options}}});
        let session = browser.send(&base, &wanted).context(INSTALL)?;
        let id = session["sessionId"].as_str().context("a session")?;
        browser.session = format!("{base}/{id}");
        browser.go("/")?;
        Ok(browser)
    }

    /// Goes to a path of the server (Navigate To).
    ///
    /// # Errors
    /// The browser fails.
    pub fn go(&self, path: &str) -> Result<()> {
        self.call("url", &json!({"url": format!("{}{path}", self.server)})).map(drop)
    }

    /// The path and query of the page that is shown (Get Current URL).
    ///
    /// # Errors
    /// The browser fails.
    pub fn path(&self) -> Result<String> {
        let url = self.ask("url")?;
        let url = url.as_str().context("an address")?;
        Ok(url.strip_prefix(&self.server).unwrap_or(url).to_owned())
    }

    /// The text of the page as a reader sees it (Get Element Text).
    ///
    /// # Errors
    /// The browser fails.
    pub fn text(&self) -> Result<String> {
        let body = self.find("body")?;
        let text = self.ask(&format!("element/{}/text", body.0))?;
        Ok(text.as_str().unwrap_or_default().to_owned())
    }

    /// The first element that a CSS selector names (Find Element).
    ///
    /// # Errors
    /// There is none.
    pub fn find(&self, selector: &str) -> Result<Element> {
        self.element("css selector", selector)
    }

    /// Presses the link that reads so (Find Element by Link Text; Element Click).
    ///
    /// # Errors
    /// There is none, or something lies over it.
    pub fn follow(&self, text: &str) -> Result<()> {
        let link = self.element("link text", text)?;
        self.press(&link)
    }

    /// Presses the button or box that a selector names.
    ///
    /// # Errors
    /// There is none, or something lies over it.
    pub fn click(&self, selector: &str) -> Result<()> {
        let element = self.find(selector)?;
        self.press(&element)
    }

    /// Types into a field, over whatever stands in it (Element Clear; Element Send Keys).
    ///
    /// # Errors
    /// There is none, or nothing can be typed there.
    pub fn fill(&self, selector: &str, text: &str) -> Result<()> {
        let Element(id) = self.find(selector)?;
        self.call(&format!("element/{id}/clear"), &json!({}))?;
        self.call(&format!("element/{id}/value"), &json!({"text": text})).map(drop)
    }

    /// Chooses the option of a value.
    ///
    /// # Errors
    /// There is none.
    pub fn choose(&self, selector: &str, value: &str) -> Result<()> {
        self.click(&format!("{selector} option[value=\"{value}\"]"))
    }

    /// Shows pages as a screen of so many CSS pixels does (a command of Chromium's own, since
    /// no window is as narrow as a phone).
    ///
    /// # Errors
    /// The browser fails.
    pub fn show_on(&self, width: u32, height: u32) -> Result<()> {
        let screen =
            json!({"width": width, "height": height, "deviceScaleFactor": 1, "mobile": true});
        let command = json!({"cmd": "Emulation.setDeviceMetricsOverride", "params": screen});
        self.call("goog/cdp/execute", &command).map(drop)
    }

    /// What a script gives that runs in the page (Execute Script).
    ///
    /// # Errors
    /// The script fails.
    pub fn run(&self, script: &str) -> Result<Value> {
        self.call("execute/sync", &json!({"script": script, "args": []}))
    }

    /// Serious faults of accessibility on the page that is shown, each with its place.
    ///
    /// # Errors
    /// The rules are not there: says who fetches them; or the browser fails.
    pub fn faults(&self) -> Result<Vec<String>> {
        let path = crate::source::root().join(AXE);
        let rules = fs::read_to_string(&path)
            .with_context(|| format!("{AXE} is missing: `bash .ci/run` fetches it once"))?;
        self.run(&rules)?;
        let ask = "const done = arguments[arguments.length - 1];
            axe.run(document, {resultTypes: ['violations']}).then(
                (found) => done(found.violations.map((one) => ({
                    id: one.id, impact: one.impact, nodes: one.nodes.map((node) => node.html)
                }))),
                (error) => done(String(error)));";
        let found = self.call("execute/async", &json!({"script": ask, "args": []}))?;
        let found = found.as_array().with_context(|| format!("the rules failed: {found}"))?;
        let serious =
            |one: &&Value| ["serious", "critical"].map(Value::from).contains(&one["impact"]);
        Ok(found.iter().filter(serious).map(Value::to_string).collect())
    }

    fn press(&self, element: &Element) -> Result<()> {
        self.call(&format!("element/{}/click", element.0), &json!({})).map(drop)
    }

    fn element(&self, using: &str, value: &str) -> Result<Element> {
        let found = self.call("element", &json!({"using": using, "value": value}))?;
        let id = found[ELEMENT].as_str().with_context(|| format!("no `{value}`: {found}"))?;
        Ok(Element(id.to_owned()))
    }

    fn ask(&self, command: &str) -> Result<Value> {
        let mut response = self.agent.get(format!("{}/{command}", self.session)).call()?;
        value(response.status().as_u16(), &response.body_mut().read_to_string()?)
    }

    fn call(&self, command: &str, body: &Value) -> Result<Value> {
        self.send(&format!("{}/{command}", self.session), body).with_context(|| {
            let shown: String = body.to_string().chars().take(200).collect();
            format!("{command} {shown}")
        })
    }

    fn send(&self, url: &str, body: &Value) -> Result<Value> {
        let request = self.agent.post(url).header("Content-Type", "application/json");
        let mut response = request.send(&serde_json::to_vec(body)?[..])?;
        value(response.status().as_u16(), &response.body_mut().read_to_string()?)
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        // A window that is gone already needs no closing.
        let _ = self.agent.delete(&self.session).call();
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }
}

/// Where the driver listens: it says so on its first lines.
fn port(driver: &mut Child) -> Result<u16> {
    let output = driver.stdout.take().context("the driver's words")?;
    for line in BufReader::new(output).lines().take(20) {
        let line = line?;
        if let Some((_, port)) = line.rsplit_once("on port ") {
            let digits: String = port.chars().take_while(char::is_ascii_digit).collect();
            if let Ok(port) = digits.parse()
                && port != 0
            {
                return Ok(port);
            }
        }
    }
    bail!("{INSTALL}")
}

/// What the driver gives, or what it complains about.
fn value(status: u16, text: &str) -> Result<Value> {
    let answer: Value = serde_json::from_str(text).with_context(|| text.to_owned())?;
    let value = answer["value"].clone();
    let words = value["message"].as_str().unwrap_or_default();
    ensure!(status < 400, "{}: {}", value["error"], words.lines().next().unwrap_or_default());
    Ok(value)
}
