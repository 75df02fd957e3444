//! Bytes in pieces of any size to whole lines.

use super::coding::plain;

/// A line longer than this is no line of a measurement.
pub(crate) const LONGEST: usize = 1 << 16;

/// Collects a line that is spread over several pieces.
#[derive(Clone, Debug, Default)]
pub(crate) struct Lines {
    begun: Vec<u8>,
    /// Lines so far.
    count: u64,
    /// Whether the line under way is too long already.
    too_long: bool,
}

/// A line with its number, from 1.
pub(crate) struct Line<'a> {
    pub number: u64,
    /// Without its end; nothing where it was too long.
    pub text: Option<&'a [u8]>,
}

impl Lines {
    /// Takes a piece; each line that it completes is handed on.
    #[cfg(test)]
    pub fn push(&mut self, piece: &[u8], mut take: impl FnMut(Line<'_>)) {
        self.push_quick(piece, &mut (), |(), _, _| None, |(), line| take(line));
    }

    /// The same, where `quick` is asked first: given the number of the line that begins with some bytes, it may take that line itself, and says how long it
    /// is with its end. `taker` is what both work on.
    pub fn push_quick<T>(
        &mut self,
        mut piece: &[u8],
        taker: &mut T,
        mut quick: impl FnMut(&mut T, u64, &[u8]) -> Option<usize>,
        mut take: impl FnMut(&mut T, Line<'_>),
    ) {
        loop {
            while self.begun.is_empty()
                && !self.too_long
                && let Some(length) = quick(taker, self.count + 1, piece)
            {
                self.count += 1;
                piece = &piece[length..];
            }
            let Some(at) = memchr::memchr(b'\n', piece) else {
                break;
            };
            let (head, rest) = piece.split_at(at);
            self.count += 1;
            if self.begun.is_empty() && !self.too_long && head.len() <= LONGEST {
                let line = Line {
                    number: self.count,
                    text: Some(plain(head)),
                };
                take(taker, line);
            } else {
                self.extend(head);
                self.hand_on(&mut |line| take(taker, line));
            }
            piece = &rest[1..];
        }
        self.extend(piece);
    }

    /// Hands on what stands behind the last line end.
    pub fn finish(&mut self, mut take: impl FnMut(Line<'_>)) {
        if !self.begun.is_empty() || self.too_long {
            self.count += 1;
            self.hand_on(&mut take);
        }
    }

    /// How many lines there were.
    pub fn count(&self) -> u64 {
        self.count
    }

    fn extend(&mut self, piece: &[u8]) {
        if self.begun.len() + piece.len() > LONGEST {
            self.too_long = true;
            self.begun.clear();
        } else if !self.too_long {
            self.begun.extend_from_slice(piece);
        }
    }

    fn hand_on(&mut self, take: &mut impl FnMut(Line<'_>)) {
        take(Line {
            number: self.count,
            text: (!self.too_long).then(|| plain(&self.begun)),
        });
        self.begun.clear();
        self.too_long = false;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn all(pieces: &[&[u8]]) -> Vec<(u64, Option<Vec<u8>>)> {
        let mut out = Vec::new();
        let mut lines = Lines::default();
        for piece in pieces {
            lines.push(piece, |line| {
                out.push((line.number, line.text.map(<[u8]>::to_vec)));
            });
        }
        lines.finish(|line| {
            out.push((line.number, line.text.map(<[u8]>::to_vec)));
        });
        out
    }

    #[test]
    fn a_line_may_come_in_pieces() {
        let found = all(&[b"1,2\r", b"\n3,", b"", b"4\n\n5"]);
        let texts: Vec<&[u8]> = found.iter().filter_map(|(_, text)| text.as_deref()).collect();
        assert_eq!(texts, [b"1,2".as_slice(), b"3,4", b"", b"5"]);
        assert_eq!(found.last().map(|(number, _)| *number), Some(4));
    }

    #[test]
    fn an_endless_line_is_named_and_takes_no_memory() {
        let mut lines = Lines::default();
        let mut found = Vec::new();
        for _ in 0..100 {
            lines.push(&[b'x'; 10_000], |line| found.push(line.text.is_some()));
            assert!(lines.begun.len() <= LONGEST);
        }
        lines.push(b"\nok\n", |line| found.push(line.text.is_some()));
        assert_eq!(found, [false, true]);
    }

    proptest! {
        #[test]
        fn pieces_do_not_matter(text in "[ab\r\n]{0,200}", cut in 1_usize..9) {
            let whole = all(&[text.as_bytes()]);
            let pieces: Vec<&[u8]> = text.as_bytes().chunks(cut).collect();
            prop_assert_eq!(whole, all(&pieces));
        }
    }
}
