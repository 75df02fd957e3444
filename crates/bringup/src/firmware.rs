//! A board's file as the facts that decide about a firmware image.

use catalogue::{Catalogue, FloatUnit};
use image::thumb::Float;
use image::{Board, Core, InstructionSet, KnownCore, Limits, Loads};
use quantity::Memory;

/// The facts of a board; what its file does not state stays unknown.
#[must_use]
pub fn board(board: &model::board::Board, catalogue: &Catalogue) -> Board {
    let processor = &board.processor;
    let known = catalogue
        .images()
        .core(&processor.core.value)
        .map(|row| KnownCore {
            instructions: instructions(row.instructions),
            float: row.float.map(|float| match float {
                FloatUnit::None => Float::None,
                FloatUnit::SingleV4 => Float::SingleV4,
                FloatUnit::SingleV5 => Float::SingleV5,
                FloatUnit::DoubleV5 => Float::DoubleV5,
            }),
            usual_ram_start: row.ram_start,
        });
    Board {
        name: board.name.value.clone(),
        core: Core {
            name: processor.core.value.clone(),
            known,
        },
        flash: processor.flash.value,
        ram: processor.ram.value,
        flash_start: processor.flash_start.as_ref().map(|start| start.value),
        ram_start: processor.ram_start.as_ref().map(|start| start.value),
        boot_offset: processor.boot_offset.as_ref().map(|offset| offset.value),
        loads: match &processor.image_name {
            None => Loads::Unknown,
            Some(name) if name.value.eq_ignore_ascii_case("none") => Loads::Cable,
            Some(name) => Loads::Card(name.value.clone()),
        },
    }
}

fn instructions(set: catalogue::InstructionSet) -> InstructionSet {
    match set {
        catalogue::InstructionSet::EightBit => InstructionSet::EightBit,
        catalogue::InstructionSet::Armv6M => InstructionSet::Armv6M,
        catalogue::InstructionSet::Armv7M => InstructionSet::Armv7M,
        catalogue::InstructionSet::Armv7EM => InstructionSet::Armv7EM,
        catalogue::InstructionSet::Armv8MBaseline => InstructionSet::Armv8MBaseline,
        catalogue::InstructionSet::Armv8MMainline => InstructionSet::Armv8MMainline,
        catalogue::InstructionSet::Other => InstructionSet::Other,
    }
}

/// What the tables say that an image and a card are held against.
#[must_use]
pub fn limits(catalogue: &Catalogue) -> Limits {
    let images = catalogue.images();
    let families = images.families().rows().iter();
    Limits {
        flash_share: catalogue.limits().image_flash_share.value.nominal(),
        ram_share: catalogue.limits().image_ram_share.value.nominal(),
        offsets: images.offsets().rows().iter().map(|offset| offset.size).collect(),
        families: families
            .map(|family| (family.number(), instructions(family.instructions)))
            .collect(),
        largest_cluster: images
            .card()
            .map_or(Memory::from_bytes(u64::MAX), |card| card.largest_cluster),
    }
}
