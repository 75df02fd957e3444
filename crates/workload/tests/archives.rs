//! Programs in gzip, zip and zstd: whole, several, damaged, truncated, and bombs.

use std::io::{Cursor, Read, Write};

use flate2::Compression;
use flate2::write::{DeflateEncoder, GzEncoder};
use proptest::prelude::*;
use workload::archive::{Form, is_named_as_program, programs, why};
use workload::invent::{Shape, write};

fn program() -> Vec<u8> {
    let mut text = Vec::new();
    write(Shape::Infill, 60_000, &mut text).unwrap();
    text
}

fn gzip(text: &[u8]) -> Vec<u8> {
    let mut out = GzEncoder::new(Vec::new(), Compression::default());
    out.write_all(text).unwrap();
    out.finish().unwrap()
}

fn zstd(text: &[u8]) -> Vec<u8> {
    ruzstd::encoding::compress_to_vec(text, ruzstd::encoding::CompressionLevel::Fastest)
}

fn zip(entries: &[(&str, &[u8], bool)]) -> Vec<u8> {
    let mut out = Vec::new();
    let mut archive = rawzip::ZipArchiveWriter::new(&mut out);
    for (name, text, packed) in entries {
        let method = if *packed {
            rawzip::CompressionMethod::DEFLATE
        } else {
            rawzip::CompressionMethod::STORE
        };
        let (mut entry, config) = archive.new_file(name).compression_method(method).start().unwrap();
        if *packed {
            let mut writer = config.wrap(DeflateEncoder::new(&mut entry, Compression::default()));
            writer.write_all(text).unwrap();
            let (encoder, descriptor) = writer.finish().unwrap();
            encoder.finish().unwrap();
            entry.finish(descriptor).unwrap();
        } else {
            let mut writer = config.wrap(&mut entry);
            writer.write_all(text).unwrap();
            let (_, descriptor) = writer.finish().unwrap();
            entry.finish(descriptor).unwrap();
        }
    }
    archive.finish().unwrap();
    out
}

/// What comes out: name, text and why it ended early.
type Taken = (Option<String>, Vec<u8>, Option<String>);

fn take(bytes: &[u8]) -> (Result<(Form, u64), String>, Vec<Taken>) {
    let mut all = Vec::new();
    let found = programs(Cursor::new(bytes), &mut |name, source| {
        let mut text = Vec::new();
        let error = source.read_to_end(&mut text).err();
        all.push((name.map(str::to_owned), text, error.map(|error| why(&error))));
        Ok(())
    });
    (found.map(|found| (found.form, found.others)), all)
}

#[test]
fn every_form_gives_the_text_back() {
    let text = program();
    for (bytes, form) in [
        (text.clone(), Form::Plain),
        (gzip(&text), Form::Gzip),
        (zstd(&text), Form::Zstd),
    ] {
        let (found, all) = take(&bytes);
        assert_eq!(found, Ok((form, 0)));
        assert_eq!(all, [(None, text.clone(), None)]);
    }
    // Parts behind each other are one text: gzip members, zstd frames, one of them to be skipped.
    let (one, other) = text.split_at(20_000);
    let members = [gzip(one), gzip(other)].concat();
    assert_eq!(take(&members).1[0].1, text);
    let skipped = [
        &b"\x50\x2a\x4d\x18\x03\0\0\0abc"[..],
        &zstd(one),
        b"\x5f\x2a\x4d\x18\0\0\0\0",
        &zstd(other),
    ]
    .concat();
    assert_eq!(take(&skipped).1[0].1, text);
}

#[test]
fn a_zip_file_holds_several() {
    let text = program();
    let bytes = zip(&[
        ("a/one.gcode", &text, true),
        ("picture.png", b"\x89PNG", false),
        ("two.GCO", b"G1 X1\n", false),
    ]);
    let (found, all) = take(&bytes);
    assert_eq!(found, Ok((Form::Zip, 1)));
    let names: Vec<&str> = all.iter().filter_map(|(name, _, _)| name.as_deref()).collect();
    assert_eq!(names, ["a/one.gcode", "two.GCO"]);
    assert_eq!((&all[0].1, &all[0].2), (&text, &None));
    // Alone it is meant, whatever its name.
    assert_eq!(take(&zip(&[("print", &text, true)])).1.len(), 1);
}

#[test]
fn truncated_archives_say_so_and_give_what_they_can() {
    let text = program();
    for bytes in [gzip(&text), zstd(&text)] {
        let (found, all) = take(&bytes[..bytes.len() / 2]);
        assert!(found.is_ok());
        let (_, part, why) = &all[0];
        assert_eq!(
            why.as_deref(),
            Some("it ends too early: the archive is truncated")
        );
        assert!(text.starts_with(part));
    }
    let bytes = zip(&[("a.gcode", &text, true)]);
    assert_eq!(
        take(&bytes[..bytes.len() - 30]).0,
        Err("its directory is missing: the archive is truncated".to_owned())
    );
}

#[test]
fn damaged_archives_say_so() {
    let text = program();
    let damage = |mut bytes: Vec<u8>, at: usize| {
        bytes[at] ^= 0x55;
        bytes
    };
    let (gz, zst) = (gzip(&text), zstd(&text));
    // The checksum at the end.
    let (length, other) = (gz.len(), zst.len());
    assert!(take(&damage(gz, length - 6)).1[0].2.is_some());
    assert!(take(&damage(zst, other - 2)).1[0].2.is_some());
    let bytes = zip(&[("a.gcode", &text, false)]);
    let (_, all) = take(&damage(bytes, 5_000));
    assert_eq!(all[0].2.as_deref(), Some("its packed data are damaged"));
}

/// A gigabyte of zeros in a megabyte, and half of that as zstd.
#[test]
fn bombs_are_refused_before_they_are_large() {
    struct Zeros(u64);
    impl Read for Zeros {
        fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
            let count = self.0.min(buffer.len() as u64) as usize;
            buffer[..count].fill(0);
            self.0 -= count as u64;
            Ok(count)
        }
    }
    let mut out = GzEncoder::new(Vec::new(), Compression::default());
    std::io::copy(&mut Zeros(200 << 20), &mut out).unwrap();
    let bomb = out.finish().unwrap();
    let mut read = 0;
    let found = programs(Cursor::new(&bomb), &mut |_, source| {
        let mut buffer = vec![0; 1 << 16];
        loop {
            match source.read(&mut buffer) {
                Ok(0) => panic!("all of it came out"),
                Ok(count) => read += count as u64,
                Err(error) => {
                    assert!(
                        why(&error).starts_with("it unpacks to more than 250 times"),
                        "{error}"
                    );
                    return Ok(());
                }
            }
        }
    });
    assert!(found.is_ok());
    assert!(read <= (64 << 20) + 250 * bomb.len() as u64, "{read}");
}

/// A frame that asks for a window of 512 MiB: RFC 8878, 3.1.1.1.2, exponent 19.
#[test]
fn a_window_that_is_too_large_is_refused() {
    let frame = [0x28, 0xb5, 0x2f, 0xfd, 0x00, 19 << 3, 0x01, 0x00, 0x00];
    let (_, all) = take(&frame);
    let why = all[0].2.as_deref().unwrap();
    assert!(
        why.starts_with("it was packed with a window of 512 MiB; 32 MiB are read"),
        "{why}"
    );
}

#[test]
fn what_is_something_else_is_named() {
    for (bytes, what) in [
        (&b"\xff\xfeG\x001\0"[..], "UTF-16 text"),
        (b"\xfd7zXZ\0abc", "an xz archive"),
        (b"BZh91AY", "a bzip2 archive"),
        (b"7z\xbc\xaf\x27\x1c", "a 7z archive"),
    ] {
        assert!(take(bytes).0.unwrap_err().starts_with(what));
        assert!(take(&gzip(bytes)).0.unwrap_err().starts_with(what));
    }
    assert!(
        take(&gzip(&gzip(b"G1")))
            .0
            .unwrap_err()
            .contains("inside another archive")
    );
    let mut tar = vec![0; 512];
    tar[257..262].copy_from_slice(b"ustar");
    assert!(take(&tar).0.unwrap_err().starts_with("a tar archive"));
}

#[test]
fn names_of_programs() {
    for name in [
        "a.gcode",
        "b.GCO",
        "c.g",
        "d.nc",
        "e.ngc",
        "f.gcode.gz",
        "g.zip",
        "h.zst",
    ] {
        assert!(is_named_as_program(name), "{name}");
    }
    for name in ["gcode", "a.txt", "b.stl", ".hidden", ""] {
        assert!(!is_named_as_program(name), "{name}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// Whatever happens to an archive, it ends in a text or a reason.
    #[test]
    fn no_bytes_make_it_panic(form in 0_usize..3, cuts in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6), end in any::<prop::sample::Index>()) {
        let text = &program()[..3_000];
        let mut bytes = match form {
            0 => gzip(text),
            1 => zstd(text),
            _ => zip(&[("a.gcode", text, true), ("b.gcode", text, false)]),
        };
        for (at, byte) in &cuts {
            let at = at.index(bytes.len());
            bytes[at] = *byte;
        }
        bytes.truncate(end.index(bytes.len()) + 1);
        let _ = take(&bytes);
    }
}
