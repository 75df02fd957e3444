//! Cards: file systems that two independent programs wrote (mkfs.fat 4.2, mtools 4.0), and what can be wrong with them.

use image::card::medium::{Medium, read as read_card};
use image::card::{Card, Entry, FileSystem};
use image::{Ask, Board, Check, Image, Loads, Verdict, read, report};
use quantity::Memory;

use crate::support::{board, bytes, card, image, kib, limits, well_worded};

const CARDS: [(&str, FileSystem, u64, u64); 4] = [
    // Free space as `mdir` of mtools tells it.
    ("card-fat12", FileSystem::Fat12, 2048, 1_452_032),
    ("card-fat16", FileSystem::Fat16, 2048, 12_234_752),
    ("card-fat32", FileSystem::Fat32, 512, 34_258_944),
    ("card-partitioned", FileSystem::Fat16, 2048, 12_234_752),
];

/// The image on those cards: the 28 bytes of `t1`.
fn t1() -> Image {
    image("t1/t1.bin")
}

fn birch() -> Board {
    Board {
        loads: Loads::Card("BIRCH.BIN".to_owned()),
        ..board("Cortex-M3")
    }
}

fn judged(card: &Card, board: &Board) -> Vec<Check> {
    let limits = limits();
    let ask = Ask {
        file_name: "t1.bin",
        board,
        limits: &limits,
        wanted: &[],
        reported: None,
        card: Some(card),
    };
    let checks = report(&t1(), &ask).checks;
    checks.iter().for_each(well_worded);
    checks
        .into_iter()
        .filter(|check| check.id.starts_with("card-"))
        .collect()
}

fn verdict(checks: &[Check], id: &str) -> Verdict {
    checks
        .iter()
        .find(|check| check.id == id)
        .unwrap_or_else(|| panic!("no {id}"))
        .verdict
}

fn words(checks: &[Check], id: &str) -> String {
    checks
        .iter()
        .find(|check| check.id == id)
        .unwrap_or_else(|| panic!("no {id}"))
        .headline
        .clone()
}

fn looked_at(bytes: &[u8]) -> Card {
    read_card(&mut &*bytes, Memory::from_bytes(28)).unwrap()
}

#[test]
fn file_systems_of_other_programs_are_read() {
    for (name, file_system, cluster, free) in CARDS {
        let card = looked_at(&card(&format!("fat/{name}.hex")));
        assert_eq!(card.file_system, file_system, "{name}");
        assert_eq!(card.cluster, Some(Memory::from_bytes(cluster)), "{name}");
        assert_eq!(card.free, Some(Memory::from_bytes(free)), "{name}");
        let damage = card.damage.clone().unwrap();
        assert_eq!(damage.count, 0, "{name}: {:?}", damage.faults);
        let listed: Vec<(String, String, Option<&str>, u64)> = card
            .entries
            .iter()
            .map(|entry| {
                (
                    entry.folder.clone(),
                    entry.name.clone(),
                    entry.short.as_deref(),
                    entry.size,
                )
            })
            .collect();
        let of =
            |folder: &str, name: &str, short, size| (folder.to_owned(), name.to_owned(), Some(short), size);
        assert_eq!(
            listed,
            [
                of("", "BIRCH.BIN", "BIRCH.BIN", 28),
                of("", "board image 2.bin", "BOARDI~1.BIN", 1500),
                of("", "old", "OLD", 0),
                of("", "birch.cur", "BIRCH.CUR", 28),
                of("old", "BIRCH.CUR", "BIRCH.CUR", 1500),
            ],
            "{name}"
        );
        assert_eq!(card.entries[0].sha256, Some(t1().sha256), "{name}");
    }
}

/// The dumps of the reference set: labels, kinds by the number of clusters, long and short names.
#[test]
fn boot_sectors_and_a_root_of_the_reference_set_are_read() {
    let dump = |name: &str| -> Vec<(usize, Vec<u8>)> {
        let text = crate::support::text(name);
        let lines = text.lines().map(|line| {
            let (at, rest) = line.split_once(": ").unwrap();
            let digits: String = rest.split("  ").next().unwrap().split(' ').collect();
            let pairs = (0..digits.len())
                .step_by(2)
                .map(|at| u8::from_str_radix(&digits[at..at + 2], 16).unwrap());
            (usize::from_str_radix(at, 16).unwrap(), pairs.collect())
        });
        lines.collect()
    };
    let mut bytes = vec![0u8; 32 << 20];
    for (at, row) in dump("fat/fat16-boot-sector.xxd")
        .into_iter()
        .chain(dump("fat/fat16-root-entries.xxd"))
    {
        bytes[at..at + row.len()].copy_from_slice(&row);
    }
    // The table of that file system is not in the set: each file has one cluster, from 2 on.
    for table in [2048, 2048 + 64 * 512] {
        bytes[table..table + 10]
            .copy_from_slice(&[0xF8, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF]);
    }
    let card = looked_at(&bytes);
    assert_eq!(card.file_system, FileSystem::Fat16);
    let names: Vec<(&str, Option<&str>)> = card
        .entries
        .iter()
        .map(|entry| (entry.name.as_str(), entry.short.as_deref()))
        .collect();
    assert_eq!(
        names,
        [
            ("Board image 2.bin", Some("BOARDI~1.BIN")),
            ("FIRMWARE.BIN", Some("FIRMWARE.BIN")),
            ("firmware.cur", Some("FIRMWARE.CUR")),
        ]
    );
    let mut bytes = vec![0u8; 64 << 20];
    for (at, row) in dump("fat/fat32-boot-sector.xxd") {
        bytes[at..at + row.len()].copy_from_slice(&row);
    }
    let card = looked_at(&bytes);
    assert_eq!(card.file_system, FileSystem::Fat32);
    assert_eq!(card.cluster, Some(Memory::from_bytes(512)));
    // mkfs.fat counts 129022 clusters; the table is all zeros here, the root's cluster included.
    assert_eq!(card.free, Some(Memory::from_bytes(129_022 * 512)));
}

#[test]
fn a_card_with_the_image_alone_passes() {
    let mut card = looked_at(&card("fat/card-fat32.hex"));
    card.entries.retain(|entry| entry.name == "BIRCH.BIN");
    let checks = judged(&card, &birch());
    assert!(
        checks.iter().all(|check| check.verdict == Verdict::Pass),
        "{checks:#?}"
    );
    assert_eq!(checks.len(), 6);
}

#[test]
fn what_a_loader_might_take_instead_is_named() {
    let card = looked_at(&card("fat/card-fat16.hex"));
    let checks = judged(&card, &birch());
    assert_eq!(verdict(&checks, "card-image"), Verdict::Pass);
    assert_eq!(verdict(&checks, "card-others"), Verdict::Open);
    assert!(words(&checks, "card-others").contains("board image 2.bin (stored as BOARDI~1.BIN)"));
    // A loader that takes any name takes either.
    let any = Board {
        loads: Loads::Card("*.BIN".to_owned()),
        ..birch()
    };
    let checks = judged(&card, &any);
    assert_eq!(verdict(&checks, "card-others"), Verdict::Fail);
    // Nothing but what a loader renamed is left: it says that there was an earlier load.
    let mut alone = card;
    alone
        .entries
        .retain(|entry| entry.short.as_deref() != Some("BOARDI~1.BIN"));
    let checks = judged(&alone, &birch());
    assert_eq!(verdict(&checks, "card-others"), Verdict::Pass);
    assert!(words(&checks, "card-others").contains("birch.cur"));
}

fn entry(name: &str, size: u64, image: Option<&Image>) -> Entry {
    Entry {
        folder: String::new(),
        name: name.to_owned(),
        short: None,
        is_folder: false,
        size,
        sha256: image.map(|image| image.sha256),
    }
}

/// A mounted folder: what a computer shows of a card.
fn folder(entries: Vec<Entry>) -> Card {
    Card {
        file_system: FileSystem::Fat,
        cluster: Some(kib(32)),
        free: Some(kib(1000)),
        entries,
        damage: None,
    }
}

#[test]
fn the_image_must_lie_in_the_root_under_its_name() {
    let t1 = t1();
    let cases = [
        (vec![], Verdict::Fail, "BIRCH.BIN is not in the root of the card."),
        (
            vec![entry("Birch.bin", 28, Some(&t1))],
            Verdict::Pass,
            "stored as BIRCH.BIN",
        ),
        (
            vec![entry("birch.bin", 28, None)],
            Verdict::Fail,
            "another file: 28 B",
        ),
        (
            vec![entry("firmware v3.bin", 28, Some(&t1))],
            Verdict::Fail,
            "firmware v3.bin (stored as FIRMWA~1.BIN)",
        ),
        (
            vec![Entry {
                folder: "new".to_owned(),
                ..entry("birch.bin", 28, Some(&t1))
            }],
            Verdict::Fail,
            "in the folder new",
        ),
        (
            vec![Entry {
                is_folder: true,
                ..entry("BIRCH.BIN", 0, None)
            }],
            Verdict::Fail,
            "is a folder",
        ),
    ];
    for (entries, expected, part) in cases {
        let checks = judged(&folder(entries), &birch());
        let told = words(&checks, "card-image");
        assert_eq!(verdict(&checks, "card-image"), expected, "{told}");
        assert!(told.contains(part), "{told}");
    }
    // What cannot be seen of a mounted card stays open.
    assert_eq!(
        verdict(&judged(&folder(vec![]), &birch()), "card-table"),
        Verdict::Open
    );
}

#[test]
fn hidden_copies_that_some_computers_leave_are_named() {
    let checks = judged(
        &folder(vec![
            entry("birch.bin", 28, Some(&t1())),
            entry("._birch.bin", 4096, None),
        ]),
        &birch(),
    );
    assert_eq!(verdict(&checks, "card-others"), Verdict::Open);
    assert!(words(&checks, "card-others").contains("._birch.bin (stored as _BIRCH~1.BIN)"));
}

/// Names may hold anything; nothing of it may steer a terminal.
#[test]
fn names_cannot_steer_a_terminal() {
    let checks = judged(&folder(vec![entry("\u{1b}[31mred.bin", 4, None)]), &birch());
    assert!(words(&checks, "card-others").contains("_[31mred.bin"));
    let mut bytes = card("fat/card-fat16.hex");
    let at = bytes
        .windows(11)
        .position(|window| window == b"BIRCH   CUR")
        .unwrap();
    bytes[at] = 0x1B;
    assert!(
        looked_at(&bytes)
            .entries
            .iter()
            .all(|entry| !entry.name.contains(char::is_control))
    );
}

#[test]
fn another_file_system_large_clusters_and_a_full_card_fail() {
    let other = Card {
        file_system: FileSystem::Other("exFAT".to_owned()),
        cluster: None,
        free: None,
        ..folder(vec![])
    };
    assert_eq!(
        verdict(&judged(&other, &birch()), "card-file-system"),
        Verdict::Fail
    );
    let large = Card {
        cluster: Some(kib(64)),
        ..folder(vec![])
    };
    assert_eq!(verdict(&judged(&large, &birch()), "card-cluster"), Verdict::Fail);
    let full = Card {
        free: Some(Memory::from_bytes(27)),
        ..folder(vec![])
    };
    assert_eq!(verdict(&judged(&full, &birch()), "card-space"), Verdict::Fail);
    let unknown = Card {
        file_system: FileSystem::Unknown,
        cluster: None,
        free: None,
        ..folder(vec![])
    };
    for id in ["card-file-system", "card-space"] {
        assert_eq!(verdict(&judged(&unknown, &birch()), id), Verdict::Open, "{id}");
    }
}

/// Where the entry of a cluster lies in the FAT16 card, and its copy.
fn fat16(cluster: usize) -> [usize; 2] {
    [2048 + 2 * cluster, 2048 + 24 * 512 + 2 * cluster]
}

fn with_table(changes: &[(usize, u16)]) -> Vec<u8> {
    let mut bytes = card("fat/card-fat16.hex");
    for (cluster, value) in changes {
        for at in fat16(*cluster) {
            bytes[at..at + 2].copy_from_slice(&value.to_le_bytes());
        }
    }
    bytes
}

#[test]
fn what_no_sound_table_has_is_named() {
    // BIRCH.BIN has cluster 2.
    let faults = |bytes: &[u8]| {
        let damage = looked_at(bytes).damage.unwrap();
        damage.faults.iter().map(ToString::to_string).collect::<Vec<_>>()
    };
    assert_eq!(
        faults(&with_table(&[(2, 2)])),
        ["byte 2052: BIRCH.BIN leads in a loop back to cluster 2"]
    );
    let longer = faults(&with_table(&[(2, 100), (100, 101), (101, 100)]));
    assert_eq!(
        longer,
        ["byte 2250: BIRCH.BIN leads in a loop back to cluster 100"]
    );
    assert!(faults(&with_table(&[(2, 3)]))[0].contains("has 28 bytes, and 2 clusters instead of 1"));
    assert!(
        faults(&with_table(&[(2, 3)]))[1].contains("board image 2.bin shares cluster 3 with another file")
    );
    assert!(faults(&with_table(&[(2, 0)]))[0].contains("BIRCH.BIN leads to a cluster that is free or bad"));
    assert!(faults(&with_table(&[(2, 0xFFF0)]))[0].contains("which does not exist"));
    let mut differs = card("fat/card-fat16.hex");
    differs[fat16(9)[1]] ^= 1;
    assert_eq!(
        faults(&differs),
        ["byte 14354: the two copies of the table differ"]
    );
    // Cut off in the middle.
    let whole = card("fat/card-fat16.hex");
    assert!(faults(&whole[..whole.len() / 2])[0].contains("the file system ends at byte"));
    let checks = judged(&looked_at(&with_table(&[(2, 2)])), &birch());
    assert_eq!(verdict(&checks, "card-table"), Verdict::Fail);
}

/// A folder that is its own child.
#[test]
fn a_folder_in_itself_ends() {
    let mut bytes = card("fat/card-fat16.hex");
    let looked = looked_at(&bytes);
    assert!(looked.entries.iter().any(|entry| entry.is_folder));
    // The entry of the file in `old` becomes a folder that begins where `old` does.
    let at = bytes
        .windows(11)
        .rposition(|window| window == b"BIRCH   CUR")
        .unwrap();
    let old = bytes
        .windows(11)
        .position(|window| window == b"OLD        ")
        .unwrap();
    bytes[at + 11] = 0x10;
    let cluster = [bytes[old + 26], bytes[old + 27]];
    bytes[at + 26..at + 28].copy_from_slice(&cluster);
    let damage = looked_at(&bytes).damage.unwrap();
    assert!(
        damage.faults[0].what.contains("shares cluster"),
        "{:?}",
        damage.faults
    );
}

#[test]
fn what_is_no_card_is_refused() {
    for bytes in [
        vec![],
        vec![0; 511],
        vec![0; 4096],
        vec![0xFF; 4096],
        bytes("t1/t1.elf"),
    ] {
        let refused = read_card(&mut bytes.as_slice(), Memory::from_bytes(28)).unwrap_err();
        assert!(
            refused.problem.starts_with("no file system is found"),
            "{}",
            refused.problem
        );
    }
    let mut other = card("fat/card-fat32.hex");
    other[3..11].copy_from_slice(b"EXFAT   ");
    assert_eq!(
        looked_at(&other).file_system,
        FileSystem::Other("exFAT".to_owned())
    );
}

struct Failing(Vec<u8>);

impl Medium for Failing {
    fn size(&self) -> u64 {
        self.0.len() as u64
    }
    fn read(&mut self, at: u64, into: &mut [u8]) -> Result<(), String> {
        if at > 4096 {
            return Err("bad sector".to_owned());
        }
        self.0.as_slice().read(at, into)
    }
}

#[test]
fn a_card_that_cannot_be_read_is_refused_with_the_place() {
    let mut failing = Failing(card("fat/card-fat16.hex"));
    let refused = read_card(&mut failing, Memory::from_bytes(28)).unwrap_err();
    assert!(
        refused.problem.contains("cannot be read at byte") && refused.problem.ends_with("bad sector"),
        "{}",
        refused.problem
    );
}

/// The image is one of several on the card: the report on the file says so.
#[test]
fn a_raw_image_of_the_right_size_is_found_by_its_hash() {
    let card = looked_at(&card("fat/card-fat12.hex"));
    let mut changed = bytes("t1/t1.bin");
    changed[20] ^= 1;
    let other = read(&changed).unwrap();
    let limits = limits();
    let board = birch();
    let ask = Ask {
        file_name: "t1.bin",
        board: &board,
        limits: &limits,
        wanted: &[],
        reported: None,
        card: Some(&card),
    };
    let report = report(&other, &ask);
    assert_eq!(report.find("card-image").unwrap().verdict, Verdict::Fail);
    assert_eq!(report.find("card-file-system").unwrap().verdict, Verdict::Open);
}
