//! ELF, through a library that only reads. Bytes go where the program headers load them. Sources: [elf-gabi], [arm-aaelf32].

use object::Endianness;
use object::elf::{self, FileHeader32, ProgramHeader32, SectionHeader32};
use object::read::elf::{
    AttributesSection, FileHeader as _, ProgramHeader as _, SectionHeader as _, SectionTable,
};

use super::{BUILD_AGAIN, Found};
use crate::content::Builder;
use crate::fault::{Faults, Place, Refused};
use crate::image::{Attributes, Elf, Machine, Part, Region, Section};
use crate::verdict::printable;

type Header = FileHeader32<Endianness>;

/// The most sections that are listed.
const MOST_SECTIONS: usize = 4096;

/// From this address up an 8-bit ELF file holds RAM, stored settings and fuses: the three memories share one numbering.
const EIGHT_BIT_DATA: u64 = 0x0080_0000;
/// And from this one up what is not RAM.
const EIGHT_BIT_STORED: u64 = 0x0081_0000;

pub(super) fn read(bytes: &[u8]) -> Result<Found, Refused> {
    // Byte 4 is the class: 1 for addresses of 32 bits.
    if bytes.get(4) == Some(&elf::ELFCLASS64.0) {
        return Err(Refused::new(
            "the ELF file has addresses of 64 bits: it is a program for a computer",
            "Choose the file that was built for the controller.",
        ));
    }
    let broken = |what: object::read::Error| {
        let mut faults = Faults::default();
        faults.push(Place::Byte(0), what.to_string());
        Refused::new("the ELF file is damaged or cut off", BUILD_AGAIN).with(faults)
    };
    let header = Header::parse(bytes).map_err(broken)?;
    let endian = header.endian().map_err(broken)?;
    let kind = header.e_type(endian);
    if kind == elf::ET_REL {
        return Err(Refused::new(
            "the ELF file is an object file that is not linked yet",
            "Choose the linked file.",
        ));
    }
    let machine = Machine::of(header.e_machine(endian).0);
    let headers = header.program_headers(endian, bytes).map_err(broken)?;
    let source = Source {
        bytes,
        endian,
        // Sections are a help and no must: a damaged table of them is as none.
        sections: header.sections(endian, bytes).unwrap_or_default(),
    };
    let mut builder = Builder::default();
    let mut faults = Faults::default();
    let mut memory = Vec::new();
    for (at, segment) in headers.iter().enumerate() {
        if segment.p_type(endian) == elf::PT_LOAD {
            load(&source, machine, segment, &mut builder, &mut memory)
                .unwrap_or_else(|what| faults.push(place_of(header, endian, at), what));
        }
    }
    let (content, overlaps) = builder.build();
    faults.append(overlaps);
    if !faults.is_empty() {
        return Err(Refused::new("the ELF file is damaged or cut off", BUILD_AGAIN).with(faults));
    }
    Ok(Found {
        parts: vec![Part {
            family: None,
            content,
        }],
        entry: Some(header.e_entry(endian)).filter(|entry| *entry != 0),
        elf: Some(Elf {
            machine,
            attributes: attributes(&source),
            memory,
            sections: sections(&source),
        }),
    })
}

fn place_of(header: &Header, endian: Endianness, at: usize) -> Place {
    let size = u64::from(header.e_phentsize(endian));
    Place::Byte(u64::from(header.e_phoff(endian)) + at as u64 * size)
}

struct Source<'d> {
    bytes: &'d [u8],
    endian: Endianness,
    sections: SectionTable<'d, Header>,
}

/// Takes what one program header loads.
fn load(
    source: &Source<'_>,
    machine: Machine,
    segment: &ProgramHeader32<Endianness>,
    builder: &mut Builder,
    memory: &mut Vec<Region>,
) -> Result<(), String> {
    let endian = source.endian;
    let (file, size, from) = (
        segment.p_filesz(endian),
        segment.p_memsz(endian),
        segment.p_offset(endian),
    );
    let data = segment
        .data(endian, source.bytes)
        .map_err(|()| format!("{file} bytes from byte {from} are not in the file"))?;
    if file > size {
        return Err(format!("{file} bytes in the file for {size} bytes of memory"));
    }
    let (runs_at, lies_at) = (segment.p_vaddr(endian), segment.p_paddr(endian));
    if u64::from(runs_at) + u64::from(size) > 1 << 32 {
        return Err(format!(
            "{size} bytes at 0x{runs_at:08X} pass the last address 0xFFFFFFFF"
        ));
    }
    let eight_bit = machine == Machine::EightBit;
    if size > 0 && !(eight_bit && u64::from(runs_at) >= EIGHT_BIT_STORED) {
        memory.push(Region {
            runs_at,
            size,
            lies_at: (file > 0).then_some(lies_at),
        });
    }
    if eight_bit && u64::from(lies_at) >= EIGHT_BIT_DATA {
        return Ok(());
    }
    let mut inside = source.loaded(from, file).peekable();
    if inside.peek().is_none() {
        builder.put(Place::Byte(u64::from(from)), u64::from(lies_at), data);
    }
    // A linker may load its own headers in front of the first section: they are no part of the image.
    for (start, size) in inside {
        let bytes = &data[start..start + size];
        builder.put(
            Place::Byte(u64::from(from) + start as u64),
            u64::from(lies_at) + start as u64,
            bytes,
        );
    }
    Ok(())
}

impl<'d> Source<'d> {
    /// Where the sections that a range of the file holds lie in it: start inside the range, and size.
    fn loaded(&self, from: u32, size: u32) -> impl Iterator<Item = (usize, usize)> {
        self.in_memory().filter_map(move |section| {
            let (start, length) = section.file_range(self.endian)?;
            let start = start.checked_sub(u64::from(from))?;
            (start + length <= u64::from(size))
                .then_some((usize::try_from(start).ok()?, usize::try_from(length).ok()?))
        })
    }
    /// The sections that take memory.
    fn in_memory(&self) -> impl Iterator<Item = &'d SectionHeader32<Endianness>> {
        let taking = |section: &&SectionHeader32<Endianness>| {
            section.sh_flags(self.endian).0 & elf::SHF_ALLOC.0 != 0 && section.sh_size(self.endian) > 0
        };
        self.sections.iter().filter(taking).take(MOST_SECTIONS)
    }
}

/// What the sections hold, for a comparison.
fn sections(source: &Source<'_>) -> Vec<Section> {
    let endian = source.endian;
    // Sections of an honest file lie side by side: together they hold no more than the file.
    let mut left = source.bytes.len();
    let described = source.in_memory().map(|section| {
        let name = source.sections.section_name(endian, section).unwrap_or_default();
        let data = section.data(endian, source.bytes).ok();
        let data = data.filter(|data| !data.is_empty() && data.len() <= left);
        left -= data.map_or(0, <[u8]>::len);
        Section {
            name: printable(&String::from_utf8_lossy(&name[..name.len().min(64)])),
            address: section.sh_addr(endian),
            size: section.sh_size(endian),
            bytes: data.map(<[u8]>::to_vec),
        }
    });
    described.collect()
}

/// The attributes of the build; nothing where there are none, or none that can be read.
fn attributes(source: &Source<'_>) -> Option<Attributes> {
    let endian = source.endian;
    let section = source
        .sections
        .iter()
        .find(|section| section.sh_type(endian) == elf::SHT_ARM_ATTRIBUTES)?;
    let data = section.data(endian, source.bytes).ok()?;
    let mut own = Attributes::default();
    let mut subsections = AttributesSection::<Header>::new(endian, data)
        .ok()?
        .subsections()
        .ok()?;
    while let Ok(Some(subsection)) = subsections.next() {
        if subsection.vendor() != b"aeabi" {
            continue;
        }
        let mut parts = subsection.subsubsections();
        while let Ok(Some(part)) = parts.next() {
            // 1: of the whole file.
            if u64::from(part.tag().0) != 1 {
                continue;
            }
            let mut reader = part.attributes();
            while let Ok(Some(tag)) = reader.read_tag() {
                // Tags 4, 5 and 67 hold text, 32 a number and text; beyond 32 the odd ones hold text.
                let text = matches!(tag, 4 | 5 | 67) || (tag > 32 && tag % 2 == 1);
                if tag == 32 {
                    if reader.read_integer().is_err() || reader.read_string().is_err() {
                        break;
                    }
                } else if text {
                    let Ok(value) = reader.read_string() else { break };
                    if tag == 5 {
                        own.processor =
                            Some(String::from_utf8_lossy(&value[..value.len().min(64)]).into_owned());
                    }
                } else {
                    let Ok(value) = reader.read_integer() else { break };
                    match tag {
                        6 => own.architecture = Some(value),
                        7 => own.profile = u8::try_from(value).ok(),
                        10 => own.float = Some(value),
                        27 => own.float_precision = Some(value),
                        46 => own.signal_processing = value == 1,
                        _ => {}
                    }
                }
            }
        }
    }
    (own != Attributes::default()).then_some(own)
}
