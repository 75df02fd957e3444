//! The dossier of the demonstration swap in headless Chromium: on a desk and on a phone, light and dark, on paper.
//!
//! Screens are left as PNG and PDF in the folder for temporary files of the tests, to be looked at.

mod browser;
mod dossier_page;

use browser::{Scheme, Window};

const DESK: u32 = 1400;
const PHONE: u32 = 390;

/// Everything that holds for a screen: nothing fetched, nothing said on the console, nothing wider than the window, no text that is
/// hard to read, no text that runs out of its picture, every working opens.
async fn screen(width: u32, scheme: Scheme) {
    let window = Window::open(width, scheme).await;
    for page in ["checklist.html", "bench-sheet.html"] {
        // The bench sheet is A3 on a desk, whatever the window.
        if page == "checklist.html" || width == PHONE {
            window.show(&dossier_page::path(page)).await;
            for check in ["overflow", "twice", "pictures"] {
                window.holds(check).await;
            }
        }
    }
    window.show(&dossier_page::path("report.html")).await;
    for check in ["overflow", "anchors", "twice", "pictures", "contrast"] {
        window.holds(check).await;
    }
    window
        .picture(&format!("dossier-{width}-{}", scheme.word()))
        .await;
    window.holds("details").await;
    for check in ["overflow", "contrast"] {
        window.holds(check).await;
    }
    window.assert_quiet().await;
    window.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn on_a_desk_in_light() {
    screen(DESK, Scheme::Light).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn on_a_desk_in_the_dark() {
    screen(DESK, Scheme::Dark).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn on_a_phone_in_light() {
    screen(PHONE, Scheme::Light).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn on_a_phone_in_the_dark() {
    screen(PHONE, Scheme::Dark).await;
}

/// Widths between: nothing may stick out.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn at_widths_between() {
    for width in [320, 600, 761, 1024] {
        let window = Window::open(width, Scheme::Light).await;
        window.show(&dossier_page::path("report.html")).await;
        window.holds("overflow").await;
        window.holds("pictures").await;
        window.close().await;
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn with_the_keyboard_alone() {
    let window = Window::open(DESK, Scheme::Light).await;
    window.show(&dossier_page::path("proof/proof.html")).await;
    for selector in ["details.check > summary", "details.block > summary"] {
        window.focus(selector).await;
        window.press_enter(selector).await;
        assert!(
            window
                .truth(&format!(
                    "document.querySelector('{selector}').parentElement.open"
                ))
                .await,
            "{selector}"
        );
    }
    window.close().await;
}

/// A link to a finding opens what it is hidden in, without a script.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_link_opens_what_it_leads_to() {
    let window = Window::open(DESK, Scheme::Light).await;
    window.show(&dossier_page::path("proof/proof.html")).await;
    let inside = "details.row .inside[id]";
    assert!(
        !window
            .truth(&format!(
                "document.querySelector('{inside}').checkVisibility({{contentVisibilityAuto: true}})"
            ))
            .await
    );
    window
        .run(&format!("location.hash = document.querySelector('{inside}').id"))
        .await;
    window
        .until(&format!(
            "document.querySelector('{inside}').checkVisibility({{contentVisibilityAuto: true}})"
        ))
        .await;
    window.close().await;
}

/// A4 portrait is 182 mm wide between the margins of the style sheet: 688 CSS pixels.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn on_paper() {
    let window = Window::open(688, Scheme::Dark).await;
    window.show(&dossier_page::path("proof/proof.html")).await;
    window.on_paper().await;
    for check in ["opened", "clipped", "contrast"] {
        window.holds(check).await;
    }
    let pdf = window.pdf("dossier").await;
    assert!(pdf.starts_with(b"%PDF-"));
    let pages = browser::pages(&pdf);
    assert!((10..=60).contains(&pages), "{pages} pages");
    window.assert_quiet().await;
    window.close().await;
}

/// What lies at the bench: two sides of A3, and the checklist; at most 15 sheets in all.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn few_sheets_for_the_bench() {
    let window = Window::open(688, Scheme::Light).await;
    for example in dossier_page::EXAMPLES {
        let mut sheets = 0;
        for (page, most) in [("bench-sheet.html", 2), ("checklist.html", 13)] {
            window.show(&dossier_page::path_of(example, page)).await;
            let name = format!("{example}-{}", page.trim_end_matches(".html"));
            let pages = browser::pages(&window.pdf(&name).await);
            assert!((1..=most).contains(&pages), "{example}, {page}: {pages} pages");
            sheets += pages;
        }
        assert!(sheets <= 15, "{example}: {sheets} sheets");
    }
    window.close().await;
}

/// Whoever buys has one sheet of A4.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_choice_is_one_sheet() {
    let window = Window::open(688, Scheme::Light).await;
    window.show(&dossier_page::path("choice.html")).await;
    let pages = browser::pages(&window.pdf("choice").await);
    assert_eq!(pages, 1);
    window.close().await;
    for (width, scheme) in [(DESK, Scheme::Dark), (PHONE, Scheme::Light)] {
        let window = Window::open(width, scheme).await;
        for page in ["choice.html", "settings.html"] {
            window.show(&dossier_page::path(page)).await;
            for check in ["overflow", "twice"] {
                window.holds(check).await;
            }
            // One sheet has fewer texts than a whole report.
            let least = if page == "choice.html" { "150" } else { "" };
            window.holds_with("contrast", least).await;
        }
        window.close().await;
    }
}

/// On a phone of 390 × 844 with letters of 16 px the choice is on the first screen, and the bench sheet ends within eight; by
/// itself it is as legible, and nothing sticks out. No page but the proof has 600 kB.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn few_screens_to_the_end_of_the_bench_sheet() {
    const SCREEN: f64 = 844.0;
    let window = Window::open(PHONE, Scheme::Light).await;
    let top = |id: &str| format!("document.getElementById('{id}').getBoundingClientRect().top + scrollY");
    for example in dossier_page::EXAMPLES {
        window.show(&dossier_page::path_of(example, "report.html")).await;
        let letters = "Number.parseFloat(getComputedStyle(document.body).fontSize)";
        assert!((window.number(letters).await - 16.0).abs() < 0.01, "{example}");
        let choice = window.number(&top("choice")).await / SCREEN;
        assert!(choice < 0.6, "{example}: the choice begins at screen {choice}");
        let end = window.number(&top("open-points")).await / SCREEN;
        assert!(end < 8.0, "{example}: the bench sheet ends at screen {end}");
        window
            .show(&dossier_page::path_of(example, "bench-sheet.html"))
            .await;
        window.holds("overflow").await;
        let next = "document.querySelectorAll('.sheet')[1].getBoundingClientRect().top";
        let picture = "document.querySelector('.sheet figure').getBoundingClientRect().bottom";
        let over = window.number(&format!("{picture} - {next}")).await;
        assert!(
            over < 1.0,
            "{example}: the next sheet lies over {over} px of the wiring"
        );
        let letters = window
            .number("Number.parseFloat(getComputedStyle(document.querySelector('.sheet td')).fontSize)")
            .await;
        assert!(letters > 15.9, "{example}: letters of {letters} px");
        for page in ["report", "bench-sheet", "checklist", "choice", "settings"] {
            let path = dossier_page::path_of(example, &format!("{page}.html"));
            let size = std::fs::metadata(&path).unwrap().len();
            assert!(size < 600_000, "{example}, {page}: {size} bytes");
        }
    }
    window.close().await;
}
