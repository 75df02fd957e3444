//! Lines as they are met.

use proptest::prelude::*;

use super::*;

/// All that came out, as text: words in the order of their letters.
#[derive(Default)]
struct Written(Vec<String>);

impl Sink for Written {
    fn line(&mut self, number: u64, line: &Line) {
        let commands: Vec<String> = line.commands().iter().map(Code::to_string).collect();
        let words =
            (b'A'..=b'Z').filter_map(|letter| Some(format!("{}{}", char::from(letter), line.get(letter)?)));
        let words: Vec<String> = commands.into_iter().chain(words).collect();
        let fault = line.fault.map_or(String::new(), |fault| format!(" {fault:?}"));
        self.0.push(format!("{number}: {}{fault}", words.join(" ")));
    }
    fn named(&mut self, number: u64, name: &str, _: &Line) {
        self.0.push(format!("{number}: name {name}"));
    }
    fn broken(&mut self, number: u64, fault: Fault) {
        self.0.push(format!("{number}: {fault:?}"));
    }
}

/// Reads a text in pieces of a size.
fn in_pieces(text: &[u8], size: usize) -> Vec<String> {
    struct Pieces<'a>(&'a [u8], usize);
    impl Read for Pieces<'_> {
        fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
            let size = self.1.min(buffer.len());
            self.0.read(&mut buffer[..size])
        }
    }
    let (mut source, mut out, mut lines) = (Pieces(text, size), Written::default(), Lines::default());
    while lines.read(&mut source, &mut out).unwrap() > 0 {}
    lines.finish(&mut out);
    assert_eq!(lines.count(), out.0.len() as u64);
    out.0
}

fn one(text: &str) -> String {
    let mut all = in_pieces(text.as_bytes(), usize::MAX);
    assert_eq!(all.len(), 1, "{text:?}: {all:?}");
    all.remove(0)[3..].to_owned()
}

#[test]
fn plain_lines_and_comments() {
    assert_eq!(one("G1 X1.5 Y-2 E.05 F1800"), "G1 E0.05 F1800 X1.5 Y-2");
    assert_eq!(one("g1x1y2;move"), "G1 X1 Y2");
    assert_eq!(one("G1 X1 (to the right) Y2"), "G1 X1 Y2");
    assert_eq!(one("  G28\t\r\n"), "G28");
    assert_eq!(one("; G1 X1"), "");
    assert_eq!(one("%"), "");
    assert_eq!(one("\u{feff}G28"), "G28");
    assert_eq!(one("X10"), "X10");
    assert_eq!(one("G92.1"), "G92.1");
    assert_eq!(one("G0 X1E5"), "G0 E5 X1");
    assert_eq!(one("T1"), "T1");
    assert_eq!(one("G21 G90 G0 X1"), "G21 G90 G0 X1");
    assert_eq!(one("M117 Layer 3 of 40"), "M117 NoNumber");
    assert_eq!(one("M117 Größe"), "M117 NotText");
    assert_eq!(one("PRINT_BEGIN BED=60 ; go"), "name PRINT_BEGIN");
}

#[test]
fn the_grammar_of_the_report() {
    // NISTIR 6556, 3.3.2: "g0x +0. 12 34y 7" equals "g0 x+0.1234 y7".
    assert_eq!(one("g0x +0. 12 34y 7"), "G0 X0.1234 Y7");
    assert_eq!(one("/N0010 G1 X3"), "G1 N10 X3");
    // 3.3.3: "g1#3=15" does not stand there, but two settings on a line take effect together behind it.
    assert_eq!(in_pieces(b"#3=6 #4=#3\nx#3 y#4", usize::MAX), ["1: ", "2: X6 Y0"]);
    assert_eq!(one("x[2 ** 3 * 2 - 1]"), "X15");
    assert_eq!(one("x[1 --3]"), "X4");
    assert_eq!(one("x[-7 mod 3]"), "X2");
}

#[test]
fn checksums_are_held_against_the_line() {
    assert_eq!(one("N4 G92 E0*67"), "G92 E0 N4");
    assert_eq!(one("N4 G92 E0*68"), "Checksum");
}

#[test]
fn what_cannot_be_read_says_why() {
    assert_eq!(one("G1 XNaN"), "G1 NoNumber");
    assert_eq!(one("XNaN Y1"), "NoNumber");
    assert_eq!(one("G1 X1 X2"), "G1 X1 Twice");
    assert_eq!(one("G1 (open"), "OpenComment");
    assert_eq!(one("\0\0\0"), "NotText");
    assert_eq!(one("G1 X1\0"), "NotText");
    assert_eq!(one("]["), "Stray");
    assert_eq!(one("G1 X1.2.3"), "G1 X1.2 Stray");
    assert_eq!(one("G1 X[1/0]"), "G1 Expression");
    assert_eq!(one(&format!("X{}", "[".repeat(60_000))), "Expression");
    assert_eq!(one("G12345678 X1"), "NoCommand");
}

#[test]
fn a_line_of_any_length_takes_no_memory() {
    let mut text = vec![b'X'; 10 * CAPACITY];
    text.extend(b"\nG1 X1\n");
    text.extend(vec![b'1'; 3 * CAPACITY]);
    assert_eq!(
        in_pieces(&text, usize::MAX),
        ["1: TooLong", "2: G1 X1", "3: TooLong"]
    );
    // Long and readable is too long all the same, wherever the pieces end.
    let text = format!("G1 X1 ;{}\nG1 X2\n", "x".repeat(LONGEST));
    for size in [1 << 10, usize::MAX] {
        assert_eq!(in_pieces(text.as_bytes(), size), ["1: TooLong", "2: G1 X2"]);
    }
}

fn lines() -> impl Strategy<Value = String> {
    let word = ("[GMXYZEFNT]", "-?[0-9]{1,4}(\\.[0-9]{1,5})?").prop_map(|(letter, number)| letter + &number);
    let words = proptest::collection::vec(word, 0..6).prop_map(|words| words.join(" "));
    let noise = "[ -~\\t\\r;()\\[\\]#*/]{0,24}";
    proptest::collection::vec(
        prop_oneof![4 => words, 1 => noise.prop_map(|text: String| text)],
        0..30,
    )
    .prop_map(|lines| lines.join("\n"))
}

proptest! {
    #[test]
    fn pieces_do_not_matter(text in lines(), size in 1_usize..40) {
        prop_assert_eq!(in_pieces(text.as_bytes(), usize::MAX), in_pieces(text.as_bytes(), size));
    }

    #[test]
    fn the_quick_path_agrees_with_the_careful_one(text in lines()) {
        for (at, whole) in text.split('\n').enumerate() {
            let mut padded = format!("{whole}\n").into_bytes();
            padded.extend([b'\n'; PAD]);
            let mut line = Line::default();
            if quick(&padded, 0, &mut line).is_none() {
                continue;
            }
            let mut other = Line::default();
            let outcome = careful(whole.as_bytes(), at as u64 + 2, &mut Parameters::default(), &mut other);
            prop_assert_eq!(outcome, Ok(None), "{:?}", whole);
            prop_assert_eq!(other.fault, None, "{:?}", whole);
            prop_assert_eq!(line.commands(), other.commands());
            for letter in b'A'..=b'Z' {
                prop_assert_eq!(line.get(letter), other.get(letter), "{:?}", whole);
            }
            prop_assert_eq!(line.bytes, other.bytes);
        }
    }

    #[test]
    fn no_bytes_make_it_panic(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        in_pieces(&bytes, 7);
    }
}
