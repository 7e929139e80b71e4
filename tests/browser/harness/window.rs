//! One browser: opening pages, filling blanks, looking and printing.

use super::{Paper, Picture, Printed};
use axum::http::Method;
use fantoccini::{
    Client, ClientBuilder, Locator, elements::Element, key::Key, wd::WebDriverCompatibleCommand,
};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};
use std::time::{Duration, Instant};
use url::{ParseError, Url};

/// Longer than a page takes on a busy machine.
const PATIENCE: Duration = Duration::from_secs(20);
const GLANCE: Duration = Duration::from_millis(30);

/// A browser with cookies of its own. [`Window::close`] it at the end; a test that fails leaves that to its stage.
pub struct Window {
    /// For whatever is not here.
    pub client: Client,
    site: String,
}

impl Window {
    pub(super) async fn open(driver: &str, site: &str, size_px: (u32, u32)) -> Self {
        let arguments = [
            "--headless=new",
            "--no-sandbox",
            "--disable-dev-shm-usage",
            "--disable-gpu",
            "--disable-background-networking",
            "--hide-scrollbars",
            // A name that is not loopback: such a page gets no secure context.
            "--host-resolver-rules=MAP stage.test 127.0.0.1",
        ];
        let wishes = json!({"goog:chromeOptions": {"args": arguments}});
        let client = ClientBuilder::new(HttpConnector::new())
            .capabilities(wishes.as_object().expect("an object").clone())
            .connect(driver)
            .await
            .expect("chromium opens; tests/run installs it");
        let window = Self {
            client,
            site: site.to_owned(),
        };
        window.resize(size_px.0, size_px.1).await;
        window
    }

    /// Ends the browser.
    pub async fn close(self) {
        self.client.close().await.expect("it closes");
    }

    /// Makes the page this large: the window's own size has the browser's frame in it.
    pub async fn resize(&self, width_px: u32, height_px: u32) {
        let is_phone = width_px < 600;
        let size = json!({"width": width_px, "height": height_px, "deviceScaleFactor": 1, "mobile": is_phone});
        self.tell("Emulation.setDeviceMetricsOverride", size).await;
    }

    /// Sends a command of the browser's own protocol.
    pub async fn tell(&self, command: &'static str, params: Value) -> Value {
        let command = OwnCommand { command, params };
        let answer = self.client.issue_cmd(command).await;
        answer.expect("the browser knows the command")
    }

    /// Opens a whole address.
    pub async fn go(&self, address: &str) {
        self.client.goto(address).await.expect("the page opens");
    }

    /// Opens a path of the demo.
    pub async fn visit(&self, path: &str) {
        self.go(&format!("{}{path}", self.site)).await;
    }

    /// Path of the first plan of the book list, which is the demo.
    pub async fn first_plan(&self) -> String {
        self.visit("/").await;
        let link = self.wait(".books a").await.attr("href").await;
        let link = link.expect("a link").expect("an address");
        link.trim_end_matches("/cut").to_owned()
    }

    /// Path and query of the page.
    pub async fn path(&self) -> String {
        let url = self.client.current_url().await.expect("an address");
        let query = url.query().map_or(String::new(), |q| format!("?{q}"));
        format!("{}{query}", url.path())
    }

    /// Waits until something stands on the page.
    pub async fn wait(&self, css: &str) -> Element {
        self.client
            .wait()
            .at_most(PATIENCE)
            .for_element(Locator::Css(css))
            .await
            .unwrap_or_else(|error| panic!("no {css} on the page: {error}"))
    }

    /// Waits until a script's value is true.
    pub async fn wait_until(&self, script: &str) {
        let began = Instant::now();
        while self.run(&format!("return Boolean({script})")).await != true {
            assert!(began.elapsed() < PATIENCE, "never became true: {script}");
            tokio::time::sleep(GLANCE).await;
        }
    }

    /// Runs a script in the page.
    pub async fn run(&self, script: &str) -> Value {
        let value = self.client.execute(script, Vec::new()).await;
        value.unwrap_or_else(|error| panic!("{script}: {error}"))
    }

    /// The words of an element.
    pub async fn text(&self, css: &str) -> String {
        self.wait(css).await.text().await.expect("its words")
    }

    /// What a blank holds.
    pub async fn value(&self, css: &str) -> String {
        let blank = self.wait(css).await;
        let value = blank.prop("value").await.expect("its value");
        value.unwrap_or_default()
    }

    /// Presses a button or follows a link, and waits for the page it leads to.
    pub async fn press(&self, css: &str) {
        let button = self.wait(css).await;
        self.run("window.before = true").await;
        button.click().await.expect("it can be pressed");
        self.wait_until("!window.before && document.readyState === 'complete'")
            .await;
    }

    /// Types into a blank in place of what it holds.
    pub async fn fill(&self, css: &str, text: &str) {
        let (control, none) = (char::from(Key::Control), char::from(Key::Null));
        let keys = format!("{control}a{none}{}{text}", char::from(Key::Delete));
        let blank = self.wait(css).await;
        blank.send_keys(&keys).await.expect("it takes keys");
    }

    /// Types into a blank, leaves it, and waits until it is written down.
    pub async fn write(&self, css: &str, text: &str) {
        self.fill(css, &format!("{text}{}", char::from(Key::Tab)))
            .await;
        self.wait_until("!document.querySelector('[data-waiting]')")
            .await;
    }

    /// The stage goes dark in this browser.
    pub async fn blackout(&self) {
        self.press(".title-block .switch:not(.out) button").await;
        self.wait("[data-look=blackout]").await;
    }

    /// What the window shows.
    pub async fn picture(&self) -> Picture {
        self.run("return document.fonts.ready.then(() => true)")
            .await;
        let png = self.client.screenshot().await.expect("a screenshot");
        Picture::read(&png)
    }

    /// The page as the browser prints it.
    pub async fn print(&self, paper: Paper) -> Printed {
        let pdf = self.client.print(paper.configuration()).await;
        Printed::read(&pdf.expect("it prints"))
    }
}

#[derive(Debug)]
struct OwnCommand {
    command: &'static str,
    params: Value,
}

impl WebDriverCompatibleCommand for OwnCommand {
    fn endpoint(&self, base: &Url, session: Option<&str>) -> Result<Url, ParseError> {
        let session = session.unwrap_or_default();
        base.join(&format!("session/{session}/goog/cdp/execute"))
    }

    fn method_and_body(&self, _: &Url) -> (Method, Option<String>) {
        let body = json!({"cmd": self.command, "params": self.params});
        (Method::POST, Some(body.to_string()))
    }
}
