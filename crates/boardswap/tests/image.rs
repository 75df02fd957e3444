//! `boardswap image` as a user meets it: three images judged on a board of the demonstration, cards, exit codes, damaged files.

use std::path::PathBuf;
use std::process::Output;

mod support;

use support::{stderr, stdout};

use samples::firmware::{Firmware, Needs};

const BOARD: [&str; 2] = ["--board", "Dogwood D1"];

fn run(arguments: &[&str]) -> Output {
    support::run(&support::demo(), arguments)
}

/// An image that Dogwood D1 can run: a Cortex-M3 with 156 KiB of RAM behind a boot offset of 124 KiB.
fn right() -> Firmware {
    Firmware::new(0x0fb5_f000, 156 << 10, Needs::Middle, 4711)
}

struct Bench(tempfile::TempDir);

impl Bench {
    fn new() -> Self {
        Self(tempfile::tempdir().unwrap())
    }
    fn file(&self, name: &str, bytes: impl AsRef<[u8]>) -> String {
        let path = self.0.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, bytes).unwrap();
        path.to_str().unwrap().to_owned()
    }
    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }
}

fn judged(file: &str, more: &[&str]) -> (i32, String) {
    let output = run(&[&["image", file], &BOARD[..], more].concat());
    (output.status.code().unwrap(), stdout(&output) + &stderr(&output))
}

#[test]
fn three_images_are_judged_on_one_screen() {
    let bench = Bench::new();
    let offset = Firmware {
        start: 0x0fb6_0000,
        ..right()
    };
    let family = Firmware {
        needs: Needs::Float,
        ..right()
    };
    let texts = [
        ("right", right(), 0),
        ("wrong offset", offset, 1),
        ("wrong family", family, 1),
    ]
    .map(|(what, firmware, expected)| {
        let file = bench.file("DOGWOOD.BIN", firmware.raw());
        let (code, text) = judged(&file, &[]);
        assert_eq!(code, expected, "{what}: {text}");
        assert!(
            text.lines().count() <= 25,
            "{what}: {} lines",
            text.lines().count()
        );
        format!("{what}\n{text}")
    });
    insta::with_settings!({filters => vec![(r"SHA-256 [0-9a-f]{64}", "SHA-256 ..."), (r" +\n", "\n")]}, {
        insta::assert_snapshot!(texts.join("\n"));
    });
}

#[test]
fn json_holds_numbers_and_limits() {
    let bench = Bench::new();
    let file = bench.file("DOGWOOD.BIN", right().raw());
    let output = run(&[&["image", &file, "--json"], &BOARD[..]].concat());
    let value: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(value["verdict"], "open");
    assert_eq!(value["start"], "0x0FB5F000");
    let checks = value["checks"].as_array().unwrap();
    let flash = checks.iter().find(|check| check["id"] == "flash").unwrap();
    assert_eq!(flash["limit"]["bytes"], 1268 << 10);
    assert_eq!(flash["value"]["bytes"], right().raw().len());
    for check in checks {
        assert!(
            check["verdict"] == "pass" || check["remedy"].is_string(),
            "{check}"
        );
    }
}

#[test]
fn a_damaged_file_is_refused_with_every_place_and_nothing_is_judged() {
    let bench = Bench::new();
    let hex = right().intel_hex();
    let file = bench.file("cut.hex", &hex[..100_000]);
    let (code, text) = judged(&file, &[]);
    assert_eq!(code, 2);
    assert!(
        text.contains("the Intel HEX file is damaged") && text.contains("the file is cut off"),
        "{text}"
    );
    for (name, bytes, told) in [
        ("empty.bin", &b""[..], "the file is empty"),
        ("page.bin", b"<html><body>not found</body></html>", "a web page"),
        ("archive.zip", b"PK\x03\x04....", "a ZIP archive"),
    ] {
        let (code, text) = judged(&bench.file(name, bytes), &[]);
        assert_eq!(code, 2);
        assert!(text.contains(told), "{text}");
    }
    let missing = bench.path("missing.bin");
    assert_eq!(judged(missing.to_str().unwrap(), &[]).0, 2);
    assert_eq!(judged(bench.0.path().to_str().unwrap(), &[]).0, 2);
    let file = bench.file("DOGWOOD.BIN", right().raw());
    let output = run(&["image", &file, "--board", "Dogwod D1"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("did you mean"));
}

#[test]
fn a_folder_is_looked_at_as_a_card() {
    let bench = Bench::new();
    let file = bench.file("build/output.bin", right().raw());
    let card = bench.path("card");
    std::fs::create_dir(&card).unwrap();
    let card = card.to_str().unwrap();
    let (code, text) = judged(&file, &["--card", card]);
    assert_eq!(code, 1);
    assert!(
        text.contains("DOGWOOD.BIN is not in the root of the card"),
        "{text}"
    );
    bench.file("card/dogwood.bin", right().raw());
    let (code, text) = judged(&file, &["--card", card]);
    assert_eq!(code, 0, "{text}");
    assert!(
        text.contains("is the checked image, stored as DOGWOOD.BIN"),
        "{text}"
    );
    bench.file("card/dogwood.bin", Firmware { seed: 3, ..right() }.raw());
    bench.file("card/second.bin", b"something else");
    let (code, text) = judged(&file, &["--card", card]);
    assert_eq!(code, 1);
    assert!(text.contains("dogwood.bin on the card is another file"), "{text}");
    assert!(
        text.contains("Other files of that kind are on the card: second.bin"),
        "{text}"
    );
}

/// The cards that `crates/image` keeps, as a file: one was written by mkfs.fat and mtools.
#[test]
fn an_image_of_a_card_is_looked_at() {
    let bench = Bench::new();
    let text = include_str!("../../image/tests/data/fat/card-fat12.hex");
    let mut bytes = Vec::new();
    for line in text.lines() {
        if let Some(size) = line.strip_prefix("size ") {
            bytes.resize(size.parse().unwrap(), 0);
        } else if let Some((at, digits)) = line.split_once(": ") {
            let at = usize::from_str_radix(at, 16).unwrap();
            for place in 0..digits.len() / 2 {
                bytes[at + place] = u8::from_str_radix(&digits[2 * place..2 * place + 2], 16).unwrap();
            }
        }
    }
    let card = bench.file("card.img", &bytes);
    let file = bench.file("DOGWOOD.BIN", right().raw());
    let (code, text) = judged(&file, &["--card", &card]);
    assert_eq!(code, 1);
    assert!(text.contains("The card has FAT12"), "{text}");
    assert!(
        text.contains("Other files of that kind are on the card: BIRCH.BIN"),
        "{text}"
    );
    let nothing = bench.file("nothing.img", vec![0; 4096]);
    let (code, text) = judged(&file, &["--card", &nothing]);
    assert_eq!(code, 2);
    assert!(text.contains("no file system is found on the card"), "{text}");
}

#[test]
fn a_reply_and_another_image_are_compared() {
    let bench = Bench::new();
    let file = bench.file("DOGWOOD.BIN", right().raw());
    let reply = bench.file("reply", "NAME:Example 1.4.2-k7\nok\n");
    let other = bench.file("old.hex", right().intel_hex());
    let (code, text) = judged(&file, &["--reported", &reply, "--against", &other]);
    assert_eq!(code, 0, "{text}");
    assert!(
        text.contains("The reply is in the image") && text.contains("The same as the other image"),
        "{text}"
    );
    let reply = bench.file("reply", "NAME:Example 1.3.0-k7\nok\n");
    let (code, text) = judged(&file, &["--reported", &reply]);
    assert_eq!(code, 1);
    assert!(text.contains("Another firmware answers"), "{text}");
}
