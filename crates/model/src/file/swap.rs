//! `swap.toml` as written.

use quantity::si::{
    ElectricPotential, Length, Ratio, StepDensity, TemperatureInterval, ThermodynamicTemperature, Time,
};
use quantity::{Price, Value};

use crate::read::{Needed, Tolerance, record};
use crate::source::{Located, Name};
use crate::words::{EvidenceKind, Scale, WishKind};

record! {
    /// A swap: which machine, which boards, what is wished.
    pub struct SwapFile("swap") {
        /// What the swap is called.
        name: Needed<Name>,
        /// Whether the swap is made up for an example.
        invented: Option<Located<bool>>,
        /// The file of the machine; `machine.toml` where nothing is said.
        machine: Option<Name>,
        /// The file of the old board; nothing is known of it where there is none.
        old_board: Option<Name>,
        /// The files of the candidate boards.
        candidates: Vec<Name>,
        /// Files that hold what the old controller reported.
        old_settings: Vec<Name>,
        /// What the controllers on the boards speak, and reported.
        controller: Vec<ControllerFile>,
        /// The name of the board that was chosen, once it is.
        chosen_board: Option<Name>,
        /// The room.
        ambient: Needed<Ambient>,
        /// What the owner wants beyond what the machine had.
        wish: Vec<WishFile>,
        /// Prices of parts that differ from the catalogue's.
        part: Vec<PartPrice>,
        /// Measurements to be looked at.
        evidence: Vec<EvidenceFile>,
        /// What the machine prints: the owner's own G-code.
        workload: Vec<WorkloadFile>,
        /// Findings that somebody accepted.
        accepted: Vec<AcceptedFile>,
    }
}

record! {
    /// A finding that somebody looked at and accepts: no longer in front, and open again once its value is worse.
    pub struct AcceptedFile("accepted") {
        /// The finding, as `boardswap check` names it.
        finding: Name,
        /// The candidate board on which it is accepted; every one where nothing is said.
        board: Option<Name>,
        /// The worst value that is accepted, such as 78 °C; needed where the finding has a value.
        value: Option<Name>,
        /// Why it is accepted.
        reason: Name,
        /// Who accepted it.
        by: Name,
    }
}

record! {
    /// G-code of the owner, by which the boards are judged.
    pub struct WorkloadFile("workload") {
        /// A file, an archive or a folder of them.
        file: Name,
    }
}

record! {
    /// The controller on a board of this swap: its words beyond those that controllers commonly share, and what it reported.
    pub struct ControllerFile("controller") {
        /// The name of its board.
        board: Name,
        /// The name of its words: NAME of `words/NAME.toml`, in the swap or in your own folder.
        words: Option<Name>,
        /// Files that hold what it reported after it was loaded, before it was told anything; of the old board see `old_settings`.
        after_loading: Vec<Name>,
    }
}

record! {
    /// The room in which the machine stands.
    pub struct Ambient("ambient") {
        /// Its temperature.
        temperature: Located<Value<ThermodynamicTemperature>>,
    }
}

record! {
    /// Something that the owner wants beyond what the machine had.
    pub struct WishFile("wish") {
        /// What people call it.
        name: Name,
        /// What it asks for.
        kind: Located<WishKind>,
        /// Tags of the devices it is about; at least one.
        devices: Vec<Name>,
        /// How much it is worth beside the other wishes, 1 to 1000.
        weight: Located<u32>,
    }
}

record! {
    /// The price of a part, in place of the catalogue's guess.
    pub struct PartPrice("part") {
        /// The part, by a name of the catalogue.
        name: Name,
        /// Its price.
        price: Located<Price>,
    }
}

record! {
    /// A measurement: a file, what kind it is, and what it is about.
    pub struct EvidenceFile("evidence") {
        /// The file with what was measured.
        file: Name,
        /// What was measured.
        kind: Located<EvidenceKind>,
        /// The name of the board on which it was measured.
        board: Option<Name>,
        /// Tags of the devices that it is about.
        devices: Vec<Name>,
        /// The axis that it is about.
        axis: Option<Name>,
        /// What the file calls the thing measured, where it holds several: the letter of a heater, the head of a column.
        channel: Option<Name>,
        /// The scale of temperatures without a unit; degrees Celsius where nothing is said.
        scale: Option<Located<Scale>>,
        /// The time between two reports, for a log without time stamps.
        interval: Option<Located<Value<Time>>>,
        /// The number that the log writes for full duty of a heater, such as 255; its largest number where nothing is said.
        full_duty: Option<Located<u32>>,
        /// The largest error that is allowed: a temperature difference from the setpoint for a temperature log (1 K where nothing is said), a share of the length for a calibration.
        tolerance: Option<Located<Tolerance>>,
        /// Columns and rows of the grid of touches that the controller will use.
        grid: Vec<Located<u32>>,
        /// The height of the first layer.
        first_layer: Option<Located<Value<Length>>>,
        /// The largest error in length that is allowed.
        allowed_error: Option<Located<Value<Length>>>,
        /// The largest share of failed trials that is allowed.
        max_failure_rate: Option<Located<Value<Ratio>>>,
        /// How sure it is to be shown, and the confidence of the intervals: above 50 % and below 100 %.
        confidence: Option<Located<Value<Ratio>>>,
        /// Where it should have triggered, by a better instrument.
        reference: Option<Located<Value<Length>>>,
        /// How far the temperature strays between the setting of the offset and a print.
        temperature_change: Option<Located<Value<TemperatureInterval>>>,
        /// The steps that were set while it was measured.
        steps: Option<Located<Value<StepDensity>>>,
        /// How much the material shrinks.
        shrinkage: Option<Located<Value<Ratio>>>,
        /// The flow that was set while it was measured; 100 % where nothing is said.
        flow: Option<Located<Value<Ratio>>>,
        /// The filament between the switch and the place where printing must have stopped.
        remaining_filament: Option<Located<Value<Length>>>,
        /// The lowest voltage that is allowed; that of the machine's loads where nothing is said.
        min_voltage: Option<Located<Value<ElectricPotential>>>,
        /// The highest voltage that is allowed.
        max_voltage: Option<Located<Value<ElectricPotential>>>,
        /// Accuracy of the meter as a share of its reading.
        meter_accuracy: Option<Located<Value<Ratio>>>,
        /// The highest temperature that the thing may have where it was measured.
        max_temperature: Option<Located<Value<ThermodynamicTemperature>>>,
        /// The air while it was measured; that of the room where nothing is said.
        air: Option<Located<Value<ThermodynamicTemperature>>>,
    }
}
