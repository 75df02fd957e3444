//! What is known of an image on a board, worked out once; the checks only read it.

use std::collections::BTreeSet;

use crate::board::{Board, InstructionSet, Limits};
use crate::content::Content;
use crate::image::{Image, Machine};
use crate::origin::{Origin, origin};
use crate::vectors::{Table, eight_bit_jumps};
use crate::walk::{Code, walk};

/// The kind of processor that an image is for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// A 32-bit Arm core of controllers.
    Arm,
    /// A common 8-bit core.
    EightBit,
    /// Another one, in words.
    Other(String),
    /// Nothing tells it.
    Unknown,
}

/// Where an image begins.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Start {
    /// Its file states the address.
    Stated(u32),
    /// A raw binary, by its own addresses; the address of its first byte.
    Deduced(u32, Origin),
    /// A raw binary whose vectors fit nowhere.
    Nowhere,
    /// A fact of the board or of the image is missing.
    Unknown,
}

/// An image on a board.
pub(crate) struct Case<'a> {
    pub image: &'a Image,
    pub board: &'a Board,
    pub limits: &'a Limits,
    /// The part for this board, at the addresses where it is loaded; a raw one whose start is not known stands at 0.
    pub content: Content,
    /// The family number of that part with what it executes.
    pub family: Option<(u32, Option<InstructionSet>)>,
    pub kind: Kind,
    pub start: Start,
    pub table: Option<Table>,
    pub jumps: Option<Vec<u32>>,
    pub code: Option<Code>,
    /// Whether a boot loader stands in the file before the image.
    pub with_loader: bool,
}

impl<'a> Case<'a> {
    pub fn new(image: &'a Image, board: &'a Board, limits: &'a Limits) -> Self {
        let set_of = |number: u32| {
            let known = limits.families.iter().find(|(own, _)| *own == number);
            known.map(|(_, set)| *set)
        };
        let own_set = board.core.known.map(|core| core.instructions);
        let for_board = image
            .parts
            .iter()
            .find(|part| own_set.is_some() && part.family.and_then(set_of) == own_set);
        let part = for_board.or(image.parts.first());
        let content = part.map_or_else(Content::default, |part| part.content.clone());
        let family = part
            .and_then(|part| part.family)
            .map(|number| (number, set_of(number)));
        let mut case = Self {
            image,
            board,
            limits,
            content,
            family,
            kind: Kind::Unknown,
            start: Start::Unknown,
            table: None,
            jumps: None,
            code: None,
            with_loader: false,
        };
        case.kind = case.told_kind().unwrap_or_else(|| case.seen_kind());
        match case.kind {
            Kind::Arm => case.place(),
            Kind::EightBit => {
                let first = case.content.extent().map_or(0, |extent| extent.start);
                let first = u32::try_from(first).unwrap_or(u32::MAX);
                case.jumps = eight_bit_jumps(&case.content, first);
                case.start = Start::Stated(first);
            }
            Kind::Other(_) | Kind::Unknown if image.is_addressed() => {
                let extent = case.content.extent();
                let first = extent.and_then(|extent| u32::try_from(extent.start).ok());
                case.start = first.map_or(Start::Unknown, Start::Stated);
            }
            Kind::Other(_) | Kind::Unknown => {}
        }
        case
    }

    /// The kind that the file states.
    fn told_kind(&self) -> Option<Kind> {
        match (&self.image.elf, self.family) {
            (Some(elf), _) => Some(match elf.machine {
                Machine::Arm => Kind::Arm,
                Machine::EightBit => Kind::EightBit,
                other => Kind::Other(other.words()),
            }),
            (None, Some((_, Some(set)))) => Some(match set {
                InstructionSet::EightBit => Kind::EightBit,
                InstructionSet::Other => Kind::Other("another processor".to_owned()),
                _ => Kind::Arm,
            }),
            _ => None,
        }
    }

    /// The kind that the first bytes show.
    fn seen_kind(&self) -> Kind {
        let Some(first) = self.first() else {
            return Kind::Unknown;
        };
        if eight_bit_jumps(&self.content, first).is_some() {
            Kind::EightBit
        } else if self.table_near(first).is_some() {
            Kind::Arm
        } else {
            Kind::Unknown
        }
    }

    /// The first address inside the flash, or the first of all.
    fn first(&self) -> Option<u32> {
        let inside = |flash| self.content.within(&flash).extent();
        let extent = self
            .board
            .flash_range()
            .filter(|_| self.image.is_addressed())
            .and_then(inside);
        u32::try_from(extent.or_else(|| self.content.extent())?.start).ok()
    }

    /// The distance from an address to a vector table at it or shortly behind it: a loader of the second stage may stand before it.
    fn table_near(&self, first: u32) -> Option<u32> {
        const STEP: usize = 128;
        const MOST: u32 = 8192;
        let table = |distance: u32| {
            first
                .checked_add(distance)
                .and_then(|at| Table::read(&self.content, at))
        };
        let plausible = |distance: &u32| {
            // At the start itself less is enough; elsewhere chance has many tries.
            table(*distance)
                .is_some_and(|table| table.is_plausible() && (*distance == 0 || self.hangs_together(&table)))
        };
        let found = (0..MOST).step_by(STEP).find(plausible);
        found.or_else(|| {
            // Many different vectors make a table, whatever stands for the stack.
            let many = |table: &Table| {
                table.targets().len() > 1 && table.vectors.len() >= 8 && self.hangs_together(table)
            };
            table(0).filter(many).map(|_| 0)
        })
    }

    fn hangs_together(&self, table: &Table) -> bool {
        let size = self
            .content
            .extent()
            .map_or(0, |extent| extent.end - extent.start);
        table.hangs_together(size)
    }

    /// Finds where an image for a 32-bit core begins, and follows its code.
    fn place(&mut self) {
        let Some(first) = self.first() else { return };
        let near = self.table_near(first);
        let lead = near.unwrap_or(0);
        if self.image.is_addressed() {
            self.start = Start::Stated(first);
            let own = self.board.image_start().filter(|own| *own > first);
            let at_own = own.and_then(|own| Table::read(&self.content, own));
            let at_own = at_own.filter(|table| table.is_plausible() && self.hangs_together(table));
            self.with_loader = at_own.is_some() && near.is_some();
            self.table = at_own.or_else(|| Table::read(&self.content, first.checked_add(lead)?));
        } else {
            self.place_raw(lead);
        }
        let Some(table) = &self.table else { return };
        if !matches!(self.start, Start::Nowhere | Start::Unknown) {
            let inside = table
                .targets()
                .into_iter()
                .filter(|at| self.content.half(*at).is_some());
            self.code = Some(walk(&self.content, inside));
        }
    }

    fn place_raw(&mut self, lead: u32) {
        self.table = Table::read(&self.content, lead);
        let Some(flash) = self.board.flash_range() else {
            return;
        };
        let usual = self.limits.offsets.iter().chain(&self.board.boot_offset);
        let offsets: BTreeSet<u32> = usual
            .filter_map(|offset| u32::try_from(offset.bytes()).ok())
            .filter(|offset| u64::from(*offset) < self.board.flash.bytes())
            .collect();
        let found = origin(&self.content, &flash, &offsets, lead);
        let start = match found {
            Origin::Found { offset, .. } => self
                .board
                .flash_start()
                .and_then(|start| start.checked_add(offset)),
            Origin::Nowhere => None,
        };
        let placed = start.and_then(|start| Some((start, self.content.moved_up(start)?)));
        let Some((start, placed)) = placed else {
            self.start = Start::Nowhere;
            return;
        };
        self.content = placed;
        self.start = Start::Deduced(start, found);
        self.table = Table::read(&self.content, start.saturating_add(lead));
    }

    /// The address at which it begins, where that is known.
    pub fn starts_at(&self) -> Option<u32> {
        match self.start {
            Start::Stated(start) | Start::Deduced(start, _) => Some(start),
            Start::Nowhere | Start::Unknown => None,
        }
    }

    /// Its distance from the start of the flash.
    pub fn offset(&self) -> Option<u64> {
        let flash = self.board.flash_start()?;
        self.starts_at()?.checked_sub(flash).map(u64::from)
    }
}
