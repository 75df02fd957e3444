//! The readers: one program in five forms, what other programs wrote, and every way in which a file can be wrong.

use image::{Form, Machine, Place, Refused, read};
use object::elf;
use object::write::elf::{FileHeader, ProgramHeader, SectionHeader, Writer};
use samples::firmware::hex_record;

use crate::support::{bytes, image, right, text};

/// The program `t1` as GNU binutils 2.40 wrote it, as UF2 by an independent converter. 28 bytes at 0x08000000; the SHA-256 of the raw
/// form was computed by three other programs.
#[test]
fn one_program_in_five_forms_is_one_image() {
    let raw = image("t1/t1.bin");
    assert_eq!(
        raw.sha256_text(),
        "7363b0a0c1a03202c9017df02dde09e4330056306027dbf0e3afd7de12056ad1"
    );
    assert_eq!(raw.form, Form::Raw);
    let content = raw.parts[0].content.moved_up(0x0800_0000).unwrap();
    for (name, form, entry) in [
        ("t1/t1.ihex", Form::IntelHex, Some(0x0800_0011)),
        ("t1/t1.srec", Form::SRecord, Some(0x0800_0011)),
        ("t1/t1.elf", Form::Elf, Some(0x0800_0011)),
        ("t1/t1.uf2", Form::Uf2, None),
    ] {
        let image = image(name);
        assert_eq!(image.form, form, "{name}");
        assert_eq!(image.entry, entry, "{name}");
        let mut own = image.parts[0].content.clone();
        if form == Form::Uf2 {
            // A converter fills its last block.
            own = own.within(&(0x0800_0000..0x0800_001C));
        }
        assert_eq!(own, content, "{name}");
    }
    assert_eq!(image("t1/t1.uf2").parts[0].family, Some(0x5ee2_1072));
    assert_eq!(image("t1/t1.elf").elf.unwrap().machine, Machine::Arm);
}

/// What `objcopy -O binary` of GNU binutils 2.40 made of the same ELF files, by its SHA-256.
#[test]
fn elf_files_load_what_objcopy_copies() {
    use sha2::{Digest as _, Sha256};
    let listed = text("compiled/objcopy.txt");
    let mut compared = 0;
    for line in listed.lines() {
        let (hash, name) = line.split_once(' ').unwrap();
        let Some(name) = name.strip_suffix(".bin") else {
            continue;
        };
        let elf = image(&format!("compiled/{name}.elf"));
        // The copy has zeros where no section lies.
        let content = &elf.parts[0].content;
        let extent = content.extent().unwrap();
        let mut copy = vec![0; (extent.end - extent.start) as usize];
        for piece in content.pieces() {
            let start = (piece.range().start - extent.start) as usize;
            copy[start..start + piece.bytes.len()].copy_from_slice(&piece.bytes);
        }
        let own: String = Sha256::digest(&copy)
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
        assert_eq!(own, hash, "{name}");
        compared += 1;
    }
    assert_eq!(compared, 3);
}

/// What `size -A` of GNU binutils 2.40 says about the same files.
#[test]
fn sections_have_the_sizes_that_binutils_tells() {
    let told = text("compiled/size.txt");
    let mut compared = 0;
    let mut sections = Vec::new();
    for line in told.lines() {
        let words: Vec<&str> = line.split_whitespace().collect();
        if let [file, ":"] = words[..] {
            sections = image(&format!("compiled/{file}")).elf.unwrap().sections;
        }
        if let [name, size, address] = words[..]
            && let (Some(size), Some(address)) = (size.strip_prefix("0x"), address.strip_prefix("0x"))
        {
            let number = |text: &str| u32::from_str_radix(text, 16).unwrap();
            if name == ".ARM.attributes" {
                continue;
            }
            let own = sections.iter().find(|section| section.name == name).unwrap();
            assert_eq!((own.size, own.address), (number(size), number(address)), "{name}");
            compared += 1;
        }
    }
    assert_eq!(compared, 15);
}

#[test]
fn attributes_are_read() {
    for (name, architecture, float) in [
        ("smallest", 12, None),
        ("middle", 10, None),
        ("float", 13, Some(6)),
    ] {
        let attributes = image(&format!("compiled/{name}.elf"))
            .elf
            .unwrap()
            .attributes
            .unwrap();
        assert_eq!(attributes.architecture, Some(architecture), "{name}");
        assert_eq!(attributes.float.filter(|float| *float != 0), float, "{name}");
        assert_eq!(attributes.profile, Some(b'M'), "{name}");
    }
    let t1 = image("t1/t1.elf").elf.unwrap().attributes.unwrap();
    assert_eq!(t1.processor.as_deref(), Some("Cortex-M3"));
}

/// By the assembler, linker and converter of GNU binutils 2.26 for 8-bit controllers.
#[test]
fn an_8_bit_program_is_the_same_as_elf_and_hex() {
    let (elf, hex) = (image("compiled/eight.elf"), image("compiled/eight.hex"));
    assert_eq!(elf.parts, hex.parts);
    let elf = elf.elf.unwrap();
    assert_eq!(elf.machine, Machine::EightBit);
    let ram: u32 = elf
        .memory
        .iter()
        .filter(|region| region.runs_at >= 0x80_0000)
        .map(|region| region.size)
        .sum();
    assert_eq!(ram, 101);
}

/// Records of published pages, and lines of the Intel specification's examples.
#[test]
fn published_records_are_read() {
    let hex = ":10010000214601360121470136007EFE09D2190140\n:0B0010006164647265737320676170A7\n:00000001FF\n";
    let pieces = read(hex.as_bytes())
        .unwrap()
        .parts
        .remove(0)
        .content
        .pieces()
        .to_vec();
    assert_eq!(pieces[0].address, 0x10);
    assert_eq!(pieces[0].bytes, b"address gap");
    assert_eq!(pieces[1].address, 0x100);
    let records = "S00C000054455354312E4845586F\nS315CAFE0110000102030405060708090A0B0C0D0E0F99\n\
                   S315CAFE0150FFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFE1\nS5030002FA\nS70500000000FA\n";
    let image = read(records.as_bytes()).unwrap();
    assert_eq!(image.form, Form::SRecord);
    assert_eq!(image.parts[0].content.pieces()[1].address, 0xCAFE_0150);
    for record in [
        "S10D1000736F6D6520646174610074",
        "S21D0100006461746120617420612068696768657220616464726573730034",
    ] {
        let image = read(format!("{record}\nS9030000FC\n").as_bytes()).unwrap();
        assert!(image.parts[0].content.size() > 9, "{record}");
    }
    // A segment of 64 KiB.
    let hex = ":020000021000EC\n:0100000055AA\n:00000001FF\n";
    assert_eq!(
        read(hex.as_bytes()).unwrap().parts[0].content.pieces()[0].address,
        0x1_0000
    );
}

fn refused(text: impl AsRef<[u8]>) -> Refused {
    read(text.as_ref()).expect_err("it should be refused")
}

fn faults(text: impl AsRef<[u8]>) -> Vec<String> {
    refused(text).faults.iter().map(ToString::to_string).collect()
}

#[test]
fn every_fault_of_an_intel_hex_file_is_named_with_its_line() {
    let text = [
        hex_record(0, 0, &[1, 2, 3, 4]),
        hex_record(2, 0, &[9, 9]),
        ":0400100001020304E3\n".to_owned(),
        ":04001000010203\n".to_owned(),
        ":0400100G01020304E2\n".to_owned(),
        hex_record(0xFFFE, 0, &[1, 2, 3]),
        hex_record(0, 9, &[]),
        "tail\n".to_owned(),
    ];
    insta::assert_snapshot!(refused(text.concat()).to_string(), @r"
    the Intel HEX file is damaged
      line 2: 2 bytes at 0x00000002 overlap those of line 1
      line 3: checksum E3, expected E2
      line 4: the record has another length than it states
      line 5: a character that is no hexadecimal digit
      line 6: the addresses wrap at 0x0000FFFF, the end of 64 KiB
      line 7: record type 09 does not exist
      line 8: no colon at the start of the record
      line 8: the end record `:00000001FF` is missing behind it: the file is cut off
    ");
}

#[test]
fn every_fault_of_an_s_record_file_is_named_with_its_line() {
    let text = "S10D1000736F6D6520646174610074\nS10D1000736F6D6520646174610075\nS1051004AABB81\nS1051004AABB\nS4030000FC\n\
                S105FFFFAABB97\nS5030009F3\nS10\n";
    insta::assert_snapshot!(refused(text).to_string(), @r"
    the S-record file is damaged
      line 2: checksum 75, expected 74
      line 3: 2 bytes at 0x00001004 overlap those of line 1
      line 4: the record has another length than it states
      line 5: record type S4 does not exist
      line 6: the addresses wrap: an S1 record has 2 bytes of address
      line 7: 9 data records are counted, 2 were read
      line 8: half a byte at the end of the record
      line 8: the end record (S7, S8 or S9) is missing behind it: the file is cut off
    ");
}

#[test]
fn addresses_beyond_32_bits_are_named() {
    let text = hex_record(0, 4, &[0xFF, 0xFF]) + &hex_record(0xFFFE, 0, &[1, 2, 3]) + ":00000001FF\n";
    assert_eq!(
        faults(text),
        ["line 2: 3 bytes at 0xFFFFFFFE pass the last address 0xFFFFFFFF"]
    );
}

/// By the specification only addresses in segments wrap at 64 KiB; a linear record may pass that mark.
#[test]
fn a_linear_record_may_pass_64_kib() {
    let text = hex_record(0, 4, &[8, 0]) + &hex_record(0xFFFE, 0, &[1, 2, 3, 4]) + ":00000001FF\n";
    let image = read(text.as_bytes()).unwrap();
    assert_eq!(image.parts[0].content.extent(), Some(0x0800_FFFE..0x0801_0002));
}

#[test]
fn a_file_that_is_cut_off_anywhere_is_refused() {
    for name in ["t1/t1.ihex", "t1/t1.srec"] {
        let whole = bytes(name);
        let last = whole.trim_ascii_end().len();
        for end in 12..last {
            assert!(read(&whole[..end]).is_err(), "{name} cut at {end}");
        }
    }
    let elf = bytes("compiled/middle.elf");
    for end in (4..elf.len()).step_by(97) {
        // What is cut off behind the last segment is the table of sections alone: the bytes of the image are there.
        if end < 0x2c98 {
            assert!(read(&elf[..end]).is_err(), "ELF cut at {end}");
        }
    }
}

fn blocks(count: u32) -> Vec<u8> {
    let mut out = Vec::new();
    for number in 0..count {
        let mut block = vec![0u8; 512];
        let words = [
            0x0A32_4655,
            0x9E5D_5157,
            0x2000,
            0x1000_0000 + number * 256,
            256,
            number,
            count,
            0xE48B_FF56,
        ];
        for (at, word) in words.iter().enumerate() {
            block[4 * at..4 * at + 4].copy_from_slice(&u32::to_le_bytes(*word));
        }
        block[32..288].fill(number as u8 + 1);
        block[508..].copy_from_slice(&0x0AB1_6F30_u32.to_le_bytes());
        out.extend(block);
    }
    out
}

#[test]
fn every_fault_of_a_uf2_file_is_named_with_its_place() {
    let whole = blocks(4);
    assert_eq!(read(&whole).unwrap().parts[0].content.size(), 1024);
    assert_eq!(
        faults(&whole[..1024]),
        ["byte 1024: 2 of 4 blocks are there: the file is cut off"]
    );
    assert_eq!(
        faults(&whole[..2000])[0],
        "byte 1536: 464 bytes behind the last whole block: the file is cut off"
    );
    let mut broken = whole.clone();
    broken[512 + 508] ^= 1;
    assert_eq!(
        faults(&broken),
        [
            "byte 512: the block does not begin and end as a UF2 block does",
            "byte 1024: block 2 in place of block 1"
        ]
    );
    let mut large = whole.clone();
    large[512 + 16..512 + 20].copy_from_slice(&477_u32.to_le_bytes());
    assert!(faults(&large)[0].starts_with("byte 512: the block states 477 bytes, at most 476 fit"));
    let mut over = whole;
    over[1024 + 12..1024 + 16].copy_from_slice(&0x1000_0080_u32.to_le_bytes());
    assert_eq!(
        faults(&over),
        ["byte 1024: 256 bytes at 0x10000080 overlap those at byte 0"]
    );
}

#[test]
fn what_is_no_image_is_named() {
    for (bytes, problem) in [
        (&b""[..], "the file is empty"),
        (b"PK\x03\x04rest", "the file is a ZIP archive, not an image"),
        (b"<!DOCTYPE html><html>", "the file is a web page, not an image"),
        (b"G28 ; home\nG1 X10\n", "the file is text, not an image"),
        (
            &[0xFF; 600],
            "every byte of the file is FF: it is empty memory, not an image",
        ),
        (
            &[0; 600],
            "every byte of the file is 00: it is empty memory, not an image",
        ),
        (b":00000001FF\n", "the Intel HEX file has no bytes for the flash"),
    ] {
        assert_eq!(refused(bytes).problem, problem);
        assert!(!refused(bytes).remedy.is_empty());
    }
    let mut wide = bytes("t1/t1.elf");
    wide[4] = 2;
    assert!(refused(&wide).problem.contains("64 bits"));
}

/// An ELF file by the writer of the `object` library: its headers lie in the first segment, as older linkers leave them.
fn written(segments: &[(u32, u32, &[u8], u32)]) -> Vec<u8> {
    let mut out = Vec::new();
    let mut writer = Writer::new(object::Endianness::Little, false, &mut out);
    writer.reserve_file_header();
    writer.reserve_program_headers(segments.len() as u32);
    let offsets: Vec<u64> = segments
        .iter()
        .map(|(_, _, data, _)| writer.reserve(data.len() as u64, 4))
        .collect();
    let name = writer.add_section_name(b".text");
    writer.reserve_null_section_index();
    writer.reserve_section_index();
    writer.reserve_shstrtab_section_index();
    writer.reserve_shstrtab().unwrap();
    writer.reserve_section_headers();
    writer
        .write_file_header(&FileHeader {
            os_abi: elf::ELFOSABI_NONE,
            abi_version: 0,
            e_type: elf::ET_EXEC,
            e_machine: elf::EM_ARM,
            e_entry: 0x0800_8141,
            e_flags: elf::EF_ARM_EABI_VER5,
        })
        .unwrap();
    writer.write_align_program_headers();
    for (at, (runs_at, lies_at, data, size)) in segments.iter().enumerate() {
        // The first segment begins at byte 0 of the file.
        let lead = if at == 0 { offsets[0] as u32 } else { 0 };
        writer.write_program_header(&ProgramHeader {
            p_type: elf::PT_LOAD,
            p_flags: elf::PF_R,
            p_offset: (offsets[at] as u32 - lead).into(),
            p_vaddr: (runs_at - lead).into(),
            p_paddr: (lies_at - lead).into(),
            p_filesz: (data.len() as u32 + lead).into(),
            p_memsz: (size + lead).into(),
            p_align: 4,
        });
    }
    for (_, _, data, _) in segments {
        writer.write_align(4);
        writer.write(data);
    }
    writer.write_shstrtab();
    writer.write_null_section_header();
    writer.write_section_header(&SectionHeader {
        sh_name: writer.section_name_offset(Some(name)),
        sh_type: elf::SHT_PROGBITS,
        sh_flags: elf::SHF_ALLOC,
        sh_addr: segments[0].0.into(),
        sh_offset: offsets[0],
        sh_size: segments[0].2.len() as u64,
        sh_link: 0,
        sh_info: 0,
        sh_addralign: 4,
        sh_entsize: 0,
    });
    writer.write_shstrtab_section_header();
    out
}

#[test]
fn headers_that_a_linker_loads_are_no_part_of_the_image() {
    let raw = right(3).raw();
    let file = written(&[(0x0800_8000, 0x0800_8000, &raw, raw.len() as u32)]);
    let image = read(&file).unwrap();
    let [piece] = image.parts[0].content.pieces() else {
        panic!("one piece")
    };
    assert_eq!(piece.address, 0x0800_8000);
    assert_eq!(piece.bytes, raw);
}

#[test]
fn segments_are_loaded_where_they_lie() {
    let raw = right(4).raw();
    let file = written(&[
        (0x0800_8000, 0x0800_8000, &raw, raw.len() as u32),
        (0x2000_0000, 0x0803_0000, &[1, 2, 3, 4], 400),
    ]);
    let image = read(&file).unwrap();
    assert_eq!(image.parts[0].content.pieces()[1].address, 0x0803_0000);
    let ram = image.elf.unwrap().memory[1];
    assert_eq!(
        (ram.runs_at, ram.size, ram.lies_at),
        (0x2000_0000, 400, Some(0x0803_0000))
    );
}

#[test]
fn overlapping_segments_are_named() {
    let raw = right(5).raw();
    let file = written(&[
        (0x0800_8000, 0x0800_8000, &raw, raw.len() as u32),
        (0x0800_8100, 0x0800_8100, &[0; 16], 16),
    ]);
    assert!(faults(&file)[0].contains("16 bytes at 0x08008100 overlap those at byte"));
    assert!(matches!(refused(&file).faults[0].place, Place::Byte(_)));
}

/// Many headers that load the same large part would fill the memory.
#[test]
fn many_segments_over_one_part_of_the_file_end_at_a_limit() {
    let data = vec![0x5A; 1 << 20];
    let segments: Vec<(u32, u32, &[u8], u32)> = vec![(0x0800_8000, 0x0800_8000, &data[..16], 16)];
    let mut file = written(&segments);
    file.extend(&data);
    // The table of program headers is replaced by one that loads the whole file a thousand times.
    let table = file.len() as u32;
    let size = table.min(1 << 20);
    for number in 0..1000u32 {
        let at = number << 21;
        for word in [1, 0, at, at, size, size, 4, 4] {
            file.extend(u32::to_le_bytes(word));
        }
    }
    file[28..32].copy_from_slice(&table.to_le_bytes());
    // Without sections.
    file[32..36].fill(0);
    file[48..52].fill(0);
    file[44..46].copy_from_slice(&1000_u16.to_le_bytes());
    assert!(
        faults(&file)
            .iter()
            .any(|fault| fault.contains("more bytes than any file"))
    );
}

#[test]
fn lines_of_great_length_are_refused_at_once() {
    let mut text = b":10".to_vec();
    text.resize(8 << 20, b'0');
    assert_eq!(faults(&text)[0], "line 1: the record is too long");
    text[0] = b'S';
    text[1] = b'1';
    assert_eq!(faults(&text)[0], "line 1: the record is too long");
}

#[test]
fn the_generator_and_its_hex_form_agree() {
    let firmware = right(9);
    let hex = read(firmware.intel_hex().as_bytes()).unwrap();
    let raw = read(&firmware.raw()).unwrap();
    assert_eq!(
        hex.parts[0].content,
        raw.parts[0].content.moved_up(firmware.start).unwrap()
    );
}
