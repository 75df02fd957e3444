//! A window of headless Chromium, with what it fetched and said.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use chromiumoxide::cdp::browser_protocol::emulation::{MediaFeature, SetDeviceMetricsOverrideParams};
use chromiumoxide::cdp::browser_protocol::log::EventEntryAdded;
use chromiumoxide::cdp::browser_protocol::network::EventRequestWillBeSent;
use chromiumoxide::cdp::browser_protocol::page::{CaptureScreenshotFormat, PrintToPdfParams};
use chromiumoxide::cdp::js_protocol::runtime::{EventConsoleApiCalled, EventExceptionThrown};
use chromiumoxide::page::ScreenshotParams;
use chromiumoxide::{Browser, BrowserConfig, Page};
use futures_util::{Stream, StreamExt as _};
use tokio::task::JoinHandle;

const CHECKS: &str = include_str!("checks.js");
/// Names under which systems know the browser.
const NAMES: [&str; 2] = ["chromium", "chromium-browser"];
const ARGUMENTS: [&str; 8] = [
    "disable-gpu",
    "disable-quic",
    "no-first-run",
    "disable-background-networking",
    "disable-component-update",
    "disable-sync",
    "hide-scrollbars",
    "font-render-hinting=none",
];

/// Light or dark, as the reader's system asks.
#[derive(Clone, Copy)]
pub enum Scheme {
    Light,
    Dark,
}

impl Scheme {
    pub fn word(self) -> &'static str {
        match self {
            Self::Light => "light",
            Self::Dark => "dark",
        }
    }
}

/// A window with one page.
pub struct Window {
    browser: Browser,
    page: Page,
    tasks: Vec<JoinHandle<()>>,
    heard: Arc<Mutex<Heard>>,
    width: u32,
    _profile: tempfile::TempDir,
}

#[derive(Default)]
struct Heard {
    /// The pages that were opened.
    shown: Vec<String>,
    requests: Vec<String>,
    complaints: Vec<String>,
}

impl Window {
    /// Starts a browser of its own, so that tests do not see each other.
    pub async fn open(width: u32, scheme: Scheme) -> Self {
        let profile = tempfile::tempdir().unwrap();
        let config = BrowserConfig::builder()
            .chrome_executable(executable())
            .user_data_dir(profile.path())
            .no_sandbox()
            .args(ARGUMENTS)
            .launch_timeout(Duration::from_secs(120))
            .request_timeout(Duration::from_secs(240))
            .viewport(None)
            .build()
            .unwrap();
        let (browser, mut handler) = Browser::launch(config).await.expect("Chromium starts");
        let pump = tokio::spawn(async move { while handler.next().await.is_some() {} });
        let page = browser.new_page("about:blank").await.unwrap();
        page.execute(metrics(width)).await.unwrap();
        page.emulate_media_features(vec![MediaFeature::new("prefers-color-scheme", scheme.word())])
            .await
            .unwrap();
        let heard = Arc::new(Mutex::new(Heard::default()));
        let mut tasks = vec![pump];
        tasks.push(listen(
            page.event_listener::<EventRequestWillBeSent>().await.unwrap(),
            &heard,
            |heard, event| {
                heard.requests.push(event.request.url.clone());
            },
        ));
        tasks.push(listen(
            page.event_listener::<EventConsoleApiCalled>().await.unwrap(),
            &heard,
            |heard, event| {
                heard.complaints.push(format!("{:?}", event.args));
            },
        ));
        tasks.push(listen(
            page.event_listener::<EventExceptionThrown>().await.unwrap(),
            &heard,
            |heard, event| {
                heard.complaints.push(event.exception_details.text.clone());
            },
        ));
        tasks.push(listen(
            page.event_listener::<EventEntryAdded>().await.unwrap(),
            &heard,
            |heard, event| {
                heard.complaints.push(event.entry.text.clone());
            },
        ));
        Self {
            browser,
            page,
            tasks,
            heard,
            width,
            _profile: profile,
        }
    }

    /// Opens a file and waits until it is there.
    pub async fn show(&self, path: &Path) {
        self.heard.lock().unwrap().shown.push(address(path));
        self.page.goto(address(path)).await.unwrap();
        self.until("document.readyState === 'complete'").await;
        self.page.evaluate(CHECKS).await.unwrap();
    }

    /// Fails where a check of `checks.js` has something to say.
    pub async fn holds(&self, check: &str) {
        self.holds_with(check, "").await;
    }

    /// The same for a check that is given something.
    pub async fn holds_with(&self, check: &str, given: &str) {
        let faults: Vec<String> = self
            .page
            .evaluate_function(format!("async () => checks.{check}({given})"))
            .await
            .unwrap()
            .into_value()
            .unwrap();
        let few: Vec<&String> = faults.iter().take(20).collect();
        assert!(
            faults.is_empty(),
            "{check} at {} px, {} faults: {few:#?}",
            self.width,
            faults.len()
        );
    }

    /// Runs a script for what it does.
    pub async fn run(&self, script: &str) {
        self.page.evaluate(script).await.unwrap();
    }

    /// Whether a script says yes.
    pub async fn truth(&self, script: &str) -> bool {
        self.page.evaluate(script).await.unwrap().into_value().unwrap()
    }

    /// What a script measures.
    pub async fn number(&self, script: &str) -> f64 {
        self.page.evaluate(script).await.unwrap().into_value().unwrap()
    }

    /// Waits until a script says yes; fails after ten seconds.
    pub async fn until(&self, script: &str) {
        for _ in 0..200 {
            if self.truth(script).await {
                return;
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        panic!("never came true: {script}");
    }

    pub async fn focus(&self, selector: &str) {
        self.run(&format!("document.querySelector('{selector}').focus()"))
            .await;
    }

    pub async fn press_enter(&self, selector: &str) {
        self.page
            .find_element(selector)
            .await
            .unwrap()
            .press_key("Enter")
            .await
            .unwrap();
    }

    /// From now on the page is laid out as for paper.
    pub async fn on_paper(&self) {
        use chromiumoxide::cdp::browser_protocol::emulation::SetEmulatedMediaParams;
        self.page
            .execute(SetEmulatedMediaParams::builder().media("print").build())
            .await
            .unwrap();
        self.until("matchMedia('print').matches").await;
        // What the style sheet of paper opens is laid out with the next frame.
        self.page
            .evaluate_function(
                "() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => done(true))))",
            )
            .await
            .unwrap();
    }

    /// The page as PDF, as its style sheet sizes it; also left on disk.
    pub async fn pdf(&self, name: &str) -> Vec<u8> {
        let params = PrintToPdfParams::builder()
            .prefer_css_page_size(true)
            .print_background(false)
            .build();
        let pdf = self.page.pdf(params).await.unwrap();
        std::fs::write(left(name, "pdf"), &pdf).unwrap();
        pdf
    }

    /// The whole page as a picture on disk, for people.
    pub async fn picture(&self, name: &str) {
        let params = ScreenshotParams::builder()
            .format(CaptureScreenshotFormat::Png)
            .full_page(true)
            .build();
        let png = self.page.screenshot(params).await.unwrap();
        std::fs::write(left(name, "png"), png).unwrap();
        // To take the whole page, the window was made as high as it; what follows wants the window back.
        self.page.execute(metrics(self.width)).await.unwrap();
    }

    /// Fails where anything but the files that were opened was asked for, or something was said on the console.
    pub async fn assert_quiet(&self) {
        let heard = self.heard.lock().unwrap();
        let outside: Vec<&String> = heard
            .requests
            .iter()
            .filter(|url| !heard.shown.contains(url))
            .collect();
        assert!(!heard.requests.is_empty(), "requests were not seen at all");
        assert!(outside.is_empty(), "the page asks for {outside:?}");
        assert!(heard.complaints.is_empty(), "{:?}", heard.complaints);
    }

    pub async fn close(mut self) {
        self.browser.close().await.unwrap();
        self.browser.wait().await.unwrap();
        for task in self.tasks {
            task.abort();
        }
    }
}

fn metrics(width: u32) -> SetDeviceMetricsOverrideParams {
    SetDeviceMetricsOverrideParams::builder()
        .width(width)
        .height(900)
        .device_scale_factor(1.0)
        .mobile(width < 600)
        .build()
        .unwrap()
}

fn listen<E: Send + Sync + 'static>(
    mut events: impl Stream<Item = Arc<E>> + Unpin + Send + 'static,
    heard: &Arc<Mutex<Heard>>,
    take: impl Fn(&mut Heard, &E) + Send + 'static,
) -> JoinHandle<()> {
    let heard = Arc::clone(heard);
    tokio::spawn(async move {
        while let Some(event) = events.next().await {
            take(&mut heard.lock().unwrap(), &event);
        }
    })
}

/// The browser, looked for where programs are.
fn executable() -> PathBuf {
    let folders = std::env::var_os("PATH").unwrap_or_default();
    std::env::split_paths(&folders)
        .flat_map(|folder| NAMES.map(|name| folder.join(name)))
        .find(|path| path.is_file())
        .unwrap_or_else(|| {
            panic!(
                "these tests need Chromium: `cargo xtask test` installs it where there is apt-get (by hand: \
                 `apt-get install --no-install-recommends chromium fonts-dejavu-core`); else take it from your system's packages"
            )
        })
}

fn address(path: &Path) -> String {
    format!("file://{}", path.display())
}

fn left(name: &str, ending: &str) -> PathBuf {
    Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}.{ending}"))
}

/// How many pages a PDF has: its page objects are written in the open.
pub fn pages(pdf: &[u8]) -> usize {
    let text = String::from_utf8_lossy(pdf);
    text.matches("/Type /Page\n").count()
        + text.matches("/Type /Page\r").count()
        + text.matches("/Type /Page ").count()
}
