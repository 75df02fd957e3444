//! Images held against boards: right ones pass, each planted mistake is named, and what is not known stays open.

use image::{Amount, Ask, Board, Check, Image, Loads, Report, Verdict, compare, read, report};
use samples::firmware::{Firmware, Needs, Random};

use crate::support::{board, core, image, judge, judge_as, kib, limits, right, wanted};

fn check<'r>(report: &'r Report, id: &str) -> &'r Check {
    report.find(id).unwrap_or_else(|| panic!("no check {id}"))
}

fn verdict(report: &Report, id: &str) -> Verdict {
    check(report, id).verdict
}

fn raw(firmware: &Firmware) -> Image {
    read(&firmware.raw()).unwrap()
}

/// A raw binary as a converter makes it: zeros where no section lies.
fn as_raw(image: &Image) -> Image {
    let content = &image.parts[0].content;
    let extent = content.extent().unwrap();
    let mut bytes = vec![0; (extent.end - extent.start) as usize];
    for piece in content.pieces() {
        let start = (piece.range().start - extent.start) as usize;
        bytes[start..start + piece.bytes.len()].copy_from_slice(&piece.bytes);
    }
    read(&bytes).unwrap()
}

/// The three programs that a compiler made of one source, each with the board it was linked for.
fn compiled() -> [(Image, Board); 3] {
    [
        ("smallest", "Cortex-M0+", 28),
        ("middle", "Cortex-M3", 32),
        ("float", "Cortex-M4F", 128),
    ]
    .map(|(name, core, offset)| {
        let mut board = board(core);
        board.boot_offset = Some(kib(offset));
        board.loads = Loads::Cable;
        board.flash = kib(512);
        if name == "float" {
            board.ram = kib(512);
        }
        (image(&format!("compiled/{name}.elf")), board)
    })
}

fn lines(report: &Report) -> String {
    let lines = report.checks.iter().map(|check| {
        let remedy = check
            .remedy
            .as_ref()
            .map_or_else(String::new, |remedy| format!(" Do: {remedy}"));
        format!(
            "{} {}: {}{remedy}\n",
            check.verdict.word(),
            check.id,
            check.headline
        )
    });
    lines.collect()
}

#[test]
fn compiled_programs_pass_on_the_board_they_were_linked_for() {
    for (elf, board) in compiled() {
        let report = judge(&elf, &board);
        assert_eq!(report.verdict, Verdict::Pass, "{}", lines(&report));
        // As a raw binary only the RAM is not told any more.
        let report = judge(&as_raw(&elf), &board);
        let open: Vec<&str> = report
            .checks
            .iter()
            .filter(|check| check.verdict != Verdict::Pass)
            .map(|check| check.id)
            .collect();
        assert_eq!(open, ["ram"], "{}", lines(&report));
    }
}

/// Each program on each core, as ELF and raw: the smallest runs anywhere, the others need what they were compiled for.
#[test]
fn the_core_that_a_program_needs_is_told_from_attributes_and_from_instructions() {
    let runs = |name: &str, core: &str| match name {
        "smallest" => true,
        "middle" => core != "Cortex-M0+",
        _ => core == "Cortex-M4F",
    };
    for ((elf, own), name) in compiled().iter().zip(["smallest", "middle", "float"]) {
        for core_name in ["Cortex-M0+", "Cortex-M3", "Cortex-M4F"] {
            let board = Board {
                core: core(core_name),
                ..own.clone()
            };
            for image in [elf, &as_raw(elf)] {
                let expected = if runs(name, core_name) {
                    Verdict::Pass
                } else {
                    Verdict::Fail
                };
                let report = judge(image, &board);
                assert_eq!(
                    verdict(&report, "core"),
                    expected,
                    "{name} on {core_name}: {}",
                    lines(&report)
                );
            }
        }
        let eight = Board {
            core: core("8-bit"),
            ..own.clone()
        };
        assert_eq!(verdict(&judge(elf, &eight), "core"), Verdict::Fail);
        assert_eq!(verdict(&judge(&as_raw(elf), &eight), "core"), Verdict::Fail);
    }
}

/// A build may promise less than it holds; what its vectors lead to counts as well.
#[test]
fn a_floating_point_unit_that_chips_of_a_core_need_not_have_stays_open() {
    let [_, _, (float, mut board)] = compiled();
    board.core = core("Cortex-M7");
    let report = judge(&float, &board);
    let core = check(&report, "core");
    assert_eq!(core.verdict, Verdict::Open);
    assert!(core.missing.as_ref().unwrap().contains("floating-point unit"));
}

#[test]
fn raw_programs_linked_for_another_offset_are_told_apart() {
    for (elf, board) in compiled() {
        let own = board.boot_offset.unwrap();
        for offset in limits()
            .offsets
            .iter()
            .filter(|offset| **offset != own && offset.bytes() < 1 << 18)
        {
            let other = Board {
                boot_offset: Some(*offset),
                ..board.clone()
            };
            let report = judge(&as_raw(&elf), &other);
            let check = check(&report, "boot-offset");
            assert_eq!(check.verdict, Verdict::Fail, "{}", check.headline);
            assert_eq!(check.value, Some(Amount::Memory(own)));
            assert_eq!(check.limit, Some(Amount::Memory(*offset)));
            assert_eq!(verdict(&judge(&elf, &other), "boot-offset"), Verdict::Fail);
        }
    }
}

/// Larger images, where more than one offset keeps the vectors inside: 40 seeds, each built for six offsets.
#[test]
fn generated_images_are_placed_by_their_own_addresses() {
    let board = board("Cortex-M3");
    for seed in 1..=40 {
        for offset in [0u32, 8, 28, 32, 64, 128] {
            let firmware = Firmware {
                start: 0x0800_0000 + (offset << 10),
                ..right(seed * 7919)
            };
            let report = judge(&raw(&firmware), &board);
            let check = check(&report, "boot-offset");
            let expected = if offset == 32 {
                Verdict::Pass
            } else {
                Verdict::Fail
            };
            assert_eq!(check.verdict, expected, "seed {seed}: {}", check.headline);
            assert_eq!(
                check.value,
                Some(Amount::Memory(kib(u64::from(offset)))),
                "seed {seed}: {}",
                check.headline
            );
        }
    }
}

/// A table, one handler behind it, and whatever else: zeros, empty memory, noise. Nothing but the table can tell.
#[test]
fn an_image_without_pointers_is_placed_by_its_table() {
    for filling in 0..4 {
        for (offset, expected) in [
            (0, Verdict::Fail),
            (28, Verdict::Fail),
            (32, Verdict::Pass),
            (64, Verdict::Fail),
            (128, Verdict::Fail),
        ] {
            let start = 0x0800_0000 + (offset << 10);
            let report = judge(&read(&plain(start, filling)).unwrap(), &board("Cortex-M3"));
            let check = check(&report, "boot-offset");
            assert_eq!(
                check.verdict, expected,
                "filling {filling}, {offset} KiB: {}",
                check.headline
            );
        }
    }
}

fn plain(start: u32, filling: u64) -> Vec<u8> {
    let mut random = Random(77 + filling);
    let handler = start + 0x1C1;
    let words = (0..0x60).map(|number| match number {
        0 => 0x2000_C000,
        1 => handler,
        7..=10 | 13 => 0,
        _ => handler + 4,
    });
    let mut bytes: Vec<u8> = words.flat_map(u32::to_le_bytes).collect();
    bytes.resize(0x1C0, 0);
    bytes.extend([0x00, 0xF0, 0x02, 0xF8, 0xFE, 0xE7, 0x10, 0xB5, 0x10, 0xBD]);
    while bytes.len() < 100_000 {
        bytes.push(match filling {
            0 => 0,
            1 => 0xFF,
            2 => (random.number() >> 20) as u8,
            _ => bytes.len() as u8,
        });
    }
    bytes
}

/// The three images of the demonstration: right, wrong offset, wrong family.
#[test]
fn three_images_judged() {
    let board = board("Cortex-M3");
    let right = right(2026);
    let offset = Firmware {
        start: 0x0800_7000,
        ..right.clone()
    };
    let family = Firmware {
        needs: Needs::Float,
        ..right.clone()
    };
    let texts = [right, offset, family].map(|firmware| {
        let image = raw(&firmware);
        let ask = Ask {
            file_name: "BENCH.BIN",
            board: &board,
            limits: &limits(),
            wanted: &wanted(),
            reported: None,
            card: None,
        };
        let report = report(&image, &ask);
        format!("{}\n{}", report.verdict.word(), lines(&report))
    });
    insta::assert_snapshot!(texts.join("\n"));
}

#[test]
fn a_stack_pointer_outside_the_ram_fails() {
    let too_much = Firmware {
        ram: 64 << 10,
        ..right(5)
    };
    let report = judge(&raw(&too_much), &board("Cortex-M3"));
    assert_eq!(verdict(&report, "stack"), Verdict::Fail);
    // Without the start of the RAM the image shows it: it uses its first bytes.
    let mut unstated = board("Cortex-M3");
    unstated.ram_start = None;
    let report = judge(&raw(&too_much), &unstated);
    assert_eq!(verdict(&report, "stack"), Verdict::Fail, "{}", lines(&report));
    assert_eq!(
        verdict(&judge(&raw(&right(5)), &unstated), "stack"),
        Verdict::Pass
    );
    // An image whose RAM lies elsewhere: what the board's file does not state is asked for.
    let elsewhere = Firmware {
        ram_start: 0x2007_0000,
        ..right(5)
    };
    let report = judge(&raw(&elsewhere), &unstated);
    let stack = check(&report, "stack");
    assert_eq!(stack.verdict, Verdict::Open, "{}", stack.headline);
    assert!(stack.remedy.as_ref().unwrap().contains("ram_start"));
    // A bank far away: the first bytes of the usual one say nothing about it.
    let mut bytes = right(5).raw();
    bytes[..4].copy_from_slice(&0x2408_0000_u32.to_le_bytes());
    assert_eq!(
        verdict(&judge(&read(&bytes).unwrap(), &unstated), "stack"),
        Verdict::Open
    );
    unstated.ram_start = Some(0x2007_0000);
    assert_eq!(
        verdict(&judge(&raw(&elsewhere), &unstated), "stack"),
        Verdict::Pass
    );
}

/// What stands in a table that no core starts from.
#[test]
fn a_broken_table_is_named() {
    let board = board("Cortex-M3");
    let with = |at: usize, word: u32| {
        let mut bytes = right(8).raw();
        bytes[at..at + 4].copy_from_slice(&word.to_le_bytes());
        judge(&read(&bytes).unwrap(), &board)
    };
    let reset = u32::from_le_bytes(right(8).raw()[4..8].try_into().unwrap());
    let report = with(4, reset - 1);
    assert_eq!(verdict(&report, "vectors"), Verdict::Fail);
    assert!(
        check(&report, "vectors").headline.contains("Bit 0 is not set"),
        "{}",
        lines(&report)
    );
    assert_eq!(
        verdict(&report, "boot-offset"),
        Verdict::Pass,
        "{}",
        lines(&report)
    );
    let report = with(4, 0);
    assert!(
        check(&report, "vectors").headline.contains("zero"),
        "{}",
        lines(&report)
    );
    for stack in [0, 0xFFFF_FFFF, 0x2000_C002, 0x4000_0004] {
        assert_eq!(verdict(&with(0, stack), "stack"), Verdict::Fail, "{stack:08x}");
    }
    // One handler outside.
    assert_eq!(verdict(&with(12, 0x0808_0001), "vectors"), Verdict::Fail);
    // A checksum in a reserved word is no fault.
    assert_eq!(verdict(&with(28, 0xF00D_1234), "vectors"), Verdict::Pass);
}

#[test]
fn an_image_that_is_cut_off_fails() {
    let whole = right(11).raw();
    let report = judge(&read(&whole[..20_000]).unwrap(), &board("Cortex-M3"));
    assert_eq!(report.verdict, Verdict::Fail, "{}", lines(&report));
    // As Intel HEX the place is stated, so that it is told what is wrong.
    let text = right(11).intel_hex();
    let cut: String = text
        .lines()
        .take(1000)
        .map(|line| format!("{line}\n"))
        .collect::<String>()
        + ":00000001FF\n";
    let report = judge(
        &read(cut.as_bytes()).unwrap(),
        &Board {
            loads: Loads::Cable,
            ..board("Cortex-M3")
        },
    );
    assert!(
        check(&report, "vectors").headline.contains("the file is cut off"),
        "{}",
        lines(&report)
    );
}

#[test]
fn sizes_are_held_against_flash_and_ram() {
    let firmware = right(3);
    let size = firmware.raw().len() as u64;
    let flash = |bytes: u64| Board {
        flash: quantity::Memory::from_bytes((32 << 10) + bytes),
        ..board("Cortex-M3")
    };
    assert_eq!(
        verdict(&judge(&raw(&firmware), &flash(size * 2)), "flash"),
        Verdict::Pass
    );
    assert_eq!(
        verdict(&judge(&raw(&firmware), &flash(size)), "flash"),
        Verdict::Open
    );
    assert_eq!(
        verdict(&judge(&raw(&firmware), &flash(size - 1)), "flash"),
        Verdict::Fail
    );
    let [_, (elf, board), _] = compiled();
    let ram = |bytes: u64| Board {
        ram: quantity::Memory::from_bytes(bytes),
        ..board.clone()
    };
    // 0x40 of data and 0x4B0 of cleared memory, as `size` of binutils tells.
    for (bytes, expected) in [
        (1264 * 2, Verdict::Pass),
        (1264, Verdict::Open),
        (1263, Verdict::Fail),
    ] {
        let report = judge(&elf, &ram(bytes));
        assert_eq!(verdict(&report, "ram"), expected);
        assert_eq!(
            check(&report, "ram").value,
            Some(Amount::Memory(quantity::Memory::from_bytes(1264)))
        );
    }
}

#[test]
fn what_the_file_of_the_board_does_not_state_stays_open() {
    let image = raw(&right(6));
    type Forget = fn(&mut Board);
    let cases: [(&str, Forget); 4] = [
        ("boot-offset", |board| board.boot_offset = None),
        ("boot-offset", |board| board.flash_start = None),
        ("core", |board| board.core.known = None),
        ("name", |board| board.loads = Loads::Unknown),
    ];
    for (id, forget) in cases {
        let mut board = board("Cortex-M3");
        forget(&mut board);
        let report = judge(&image, &board);
        let check = check(&report, id);
        assert_eq!(check.verdict, Verdict::Open, "{id}: {}", check.headline);
        assert!(
            check.missing.is_some()
                && check
                    .remedy
                    .as_ref()
                    .is_some_and(|remedy| remedy.contains("Enter")),
            "{id}"
        );
        assert_ne!(report.verdict, Verdict::Pass);
    }
}

#[test]
fn a_boot_loader_in_the_file_is_named() {
    // The same image below and at the boot offset: as a file that a programmer takes.
    let loader = Firmware {
        start: 0x0800_0000,
        size: 16 << 10,
        ..right(21)
    };
    let both = loader.intel_hex().replace(":00000001FF\n", "") + &right(22).intel_hex();
    let report = judge(
        &read(both.as_bytes()).unwrap(),
        &Board {
            loads: Loads::Cable,
            ..board("Cortex-M3")
        },
    );
    assert!(
        check(&report, "boot-offset")
            .headline
            .contains("contains a boot loader"),
        "{}",
        lines(&report)
    );
    assert_eq!(verdict(&report, "boot-offset"), Verdict::Fail);
}

/// A small loader stands in the first 256 bytes, as chips with their flash outside need it.
#[test]
fn a_table_behind_a_second_stage_is_found() {
    let board = Board {
        core: core("Cortex-M0+"),
        flash_start: Some(0x1000_0000),
        boot_offset: Some(quantity::Memory::from_bytes(0)),
        flash: kib(2048),
        ..board("Cortex-M0+")
    };
    let firmware = Firmware {
        start: 0x1000_0100,
        needs: Needs::Smallest,
        ..right(12)
    };
    let mut bytes = vec![0xB5; 256];
    bytes.extend(firmware.raw());
    let report = judge(&read(&bytes).unwrap(), &board);
    assert!(
        check(&report, "vectors")
            .headline
            .contains("256 B behind the start"),
        "{}",
        lines(&report)
    );
    assert_eq!(
        verdict(&report, "boot-offset"),
        Verdict::Pass,
        "{}",
        lines(&report)
    );
}

#[test]
fn an_8_bit_image_is_judged_by_its_jumps() {
    let board = Board {
        flash: kib(128),
        ram: kib(8),
        boot_offset: Some(kib(8)),
        flash_start: None,
        ram_start: None,
        loads: Loads::Cable,
        ..board("8-bit")
    };
    let report = judge(&image("compiled/eight.elf"), &board);
    assert_eq!(report.verdict, Verdict::Pass, "{}", lines(&report));
    let hex = judge(&image("compiled/eight.hex"), &board);
    assert!(
        check(&hex, "vectors").headline.contains("35 vectors"),
        "{}",
        lines(&hex)
    );
    // On a board with a 32-bit core it is of the wrong family.
    let report = judge(&image("compiled/eight.hex"), &crate::support::board("Cortex-M3"));
    assert_eq!(verdict(&report, "core"), Verdict::Fail, "{}", lines(&report));
    // The loader of such a board lies behind the image.
    let full = Board {
        flash: kib(8),
        ..board
    };
    assert_ne!(
        verdict(&judge(&image("compiled/eight.elf"), &full), "flash"),
        Verdict::Pass
    );
}

#[test]
fn a_uf2_family_of_another_core_fails() {
    let mut board = board("Cortex-M3");
    board.boot_offset = Some(kib(0));
    board.loads = Loads::Cable;
    let image = image("t1/t1.uf2");
    assert_ne!(verdict(&judge(&image, &board), "core"), Verdict::Fail);
    let report = judge(
        &image,
        &Board {
            core: core("Cortex-M4F"),
            ..board
        },
    );
    assert!(
        check(&report, "core")
            .headline
            .contains("UF2 family 5ee21072 is for Armv7-M"),
        "{}",
        lines(&report)
    );
}

#[test]
fn names_and_forms_are_those_that_the_loader_takes() {
    let image = raw(&right(2));
    let named = |file: &str, takes: &str| {
        let board = Board {
            loads: Loads::Card(takes.to_owned()),
            ..board("Cortex-M3")
        };
        verdict(&judge_as(&image, &board, file), "name")
    };
    assert_eq!(named("bench.bin", "BENCH.BIN"), Verdict::Pass);
    assert_eq!(named("build-7.bin", "BENCH.BIN"), Verdict::Fail);
    assert_eq!(named("build-7.bin", "*.BIN"), Verdict::Pass);
    assert_eq!(named("bench.hex", "BENCH.HEX"), Verdict::Fail);
    // An ELF file is checked for what it states beyond the file that is loaded.
    let elf = crate::support::image("compiled/middle.elf");
    assert_eq!(verdict(&judge(&elf, &board("Cortex-M3")), "name"), Verdict::Open);
    // The file says that the loader takes a name which a card cannot store as it is.
    assert_eq!(named("bench-image.bin", "bench-image.bin"), Verdict::Open);
}

#[test]
fn texts_tell_which_words_are_built_in() {
    let board = board("Cortex-M3");
    let all = |texts: &[&str]| {
        let firmware = Firmware {
            texts: texts.iter().map(|text| (*text).to_owned()).collect(),
            ..right(4)
        };
        let wanted = wanted();
        let ask = Ask {
            file_name: "BENCH.BIN",
            board: &board,
            limits: &limits(),
            wanted: &wanted,
            reported: None,
            card: None,
        };
        report(&raw(&firmware), &ask)
    };
    assert_eq!(
        verdict(&all(&["report: M92 X", "report: M301 P"]), "words"),
        Verdict::Pass
    );
    let report = all(&["report: M92 X"]);
    assert_eq!(verdict(&report, "words"), Verdict::Open);
}

#[test]
fn the_reply_of_a_controller_is_held_against_the_image() {
    let board = board("Cortex-M3");
    let image = raw(&right(4));
    let reply = |text: &str| {
        let limits = limits();
        let ask = Ask {
            file_name: "BENCH.BIN",
            board: &board,
            limits: &limits,
            wanted: &[],
            reported: Some(text),
            card: None,
        };
        check(&report(&image, &ask), "reported").clone()
    };
    assert_eq!(
        reply("> M115\nNAME:Example 1.4.2-k7\nok\n").verdict,
        Verdict::Pass
    );
    let old = reply("NAME:Example 1.3.9-k7\nok\n");
    assert_eq!(old.verdict, Verdict::Fail, "{}", old.headline);
    assert!(old.headline.contains("1.3.9-k7"));
    assert_eq!(
        reply("NAME:Example 1.4.2-k7 UUID:77aa-12\nok\n").verdict,
        Verdict::Open
    );
    assert_eq!(reply("ok\n").verdict, Verdict::Open);
}

#[test]
fn two_images_are_compared_by_section_or_by_address() {
    let [(smallest, _), (middle, _), _] = compiled();
    let same = compare(&middle, &middle);
    assert!(
        same.same
            && same
                .rows
                .iter()
                .all(|row| row.different.is_none_or(|count| count == 0))
    );
    let compared = compare(&smallest, &middle);
    let text = compared.rows.iter().find(|row| row.section == ".text").unwrap();
    assert!(!compared.same && text.size != text.other_size && text.different.unwrap() > 1000);
    // A raw binary is laid where the other one begins.
    assert!(compare(&as_raw(&middle), &image("compiled/middle.elf")).rows[0].different == Some(0));
    let mut bytes = right(4).raw();
    bytes[500] ^= 1;
    let compared = compare(&raw(&right(4)), &read(&bytes).unwrap());
    assert_eq!(compared.rows[0].different, Some(1));
    assert_eq!(compared.rows[0].first.as_deref(), Some("0x000001F4"));
}

/// Sentences of at most 20 words, verdict first; every open check names its fact; every check that is no pass has a remedy.
#[test]
fn messages_are_short_and_complete() {
    let mut seen = 0;
    let mut images = vec![
        image("t1/t1.elf"),
        image("compiled/eight.hex"),
        image("t1/t1.uf2"),
        read(&plain(0x0801_0000, 2)).unwrap(),
    ];
    images.extend(compiled().map(|(image, _)| image));
    images.extend([
        raw(&right(1)),
        raw(&Firmware {
            ram: 64 << 10,
            start: 0x0800_4000,
            ..right(2)
        }),
    ]);
    let forget: [fn(&mut Board); 7] = [
        |_| {},
        |board| board.boot_offset = None,
        |board| board.flash_start = None,
        |board| board.ram_start = None,
        |board| board.flash = kib(40),
        |board| board.ram = kib(1),
        |board| board.loads = Loads::Unknown,
    ];
    for image in &images {
        for core_name in ["8-bit", "Cortex-M0+", "Cortex-M3", "Cortex-M4F", "Cortex-M7"] {
            for forget in forget {
                let mut board = board(core_name);
                forget(&mut board);
                let limits = limits();
                let ask = Ask {
                    file_name: "BENCH.BIN",
                    board: &board,
                    limits: &limits,
                    wanted: &wanted(),
                    reported: Some("NAME:Other 3.1"),
                    card: None,
                };
                let report = report(image, &ask);
                for check in &report.checks {
                    crate::support::well_worded(check);
                    seen += 1;
                }
            }
        }
    }
    assert!(seen > 2000, "{seen}");
}
