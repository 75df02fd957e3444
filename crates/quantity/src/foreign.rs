//! Units that labels, data sheets and old drawings bear and files do not take: what a value in them is in a unit that they take.

use crate::any::AnyValue;
use crate::show::{Digits, show};
use crate::unit::Kind;

/// A unit outside the table of a kind: `base = number * factor + offset`.
struct Foreign {
    kind: Kind,
    /// Spellings, in lower case, without blanks, dots and hyphens.
    spelled: &'static [&'static str],
    factor: f64,
    offset: f64,
}

const fn of(kind: Kind, spelled: &'static [&'static str], factor: f64) -> Foreign {
    Foreign {
        kind,
        spelled,
        factor,
        offset: 0.0,
    }
}

const INCH: f64 = 0.0254;
const FOOT: f64 = 12.0 * INCH;
const POUND: f64 = 0.453_592_37;
const OUNCE: f64 = POUND / 16.0;
/// Standard gravity: a pound-force is the weight of a pound under it.
const GRAVITY: f64 = 9.806_65;
const BTU: f64 = 1_055.055_852_62;
const THOUSANDTH: f64 = INCH / 1e3;

const INCHES: &[&str] = &["inch", "inches", "\"", "″", "''", "”"];

#[rustfmt::skip]
const TABLE: &[Foreign] = &[
    Foreign { kind: Kind::Temperature, spelled: &["°f", "f", "degf", "ºf", "˚f", "℉", "fahrenheit", "degreesf"], factor: 5.0 / 9.0, offset: 273.15 - 32.0 * 5.0 / 9.0 },
    Foreign { kind: Kind::Temperature, spelled: &["c", "degc", "ºc", "˚c", "℃", "celsius", "degreesc", "deg", "°"], factor: 1.0, offset: 273.15 },
    of(Kind::TemperatureDifference, &["°f", "f", "degf", "ºf", "˚f", "℉", "fahrenheit"], 5.0 / 9.0),
    of(Kind::TemperatureDifference, &["c", "degc", "ºc", "˚c", "℃", "celsius", "deg", "°", "kelvin"], 1.0),
    of(Kind::Length, INCHES, INCH),
    of(Kind::Length, &["mil", "mils", "thou"], THOUSANDTH),
    of(Kind::Length, &["ft", "foot", "feet", "'", "′"], FOOT),
    of(Kind::Length, &["yd", "yard", "yards"], 3.0 * FOOT),
    of(Kind::Length, &["millimetre", "millimetres", "millimeter", "millimeters"], 1e-3),
    of(Kind::Area, &["in²", "in2", "sqin"], INCH * INCH),
    of(Kind::Area, &["kcmil", "mcm"], 1e3 * core::f64::consts::FRAC_PI_4 * THOUSANDTH * THOUSANDTH),
    of(Kind::Area, &["sqmm", "mmsq", "qmm"], 1e-6),
    of(Kind::Mass, &["lb", "lbs", "pound", "pounds"], POUND),
    of(Kind::Mass, &["oz", "ounce", "ounces"], OUNCE),
    of(Kind::Mass, &["gram", "grams", "gr", "gm"], 1e-3),
    of(Kind::Force, &["lbf", "lb", "lbs", "pound", "pounds"], POUND * GRAVITY),
    of(Kind::Force, &["ozf", "oz", "ounce", "ounces"], OUNCE * GRAVITY),
    of(Kind::Force, &["kgf", "kg", "kp"], GRAVITY),
    of(Kind::Force, &["gf", "g", "grams"], GRAVITY / 1e3),
    of(Kind::Torque, &["ozin", "ozfin", "inoz", "inozf", "ozinch", "ounceinch", "ounceinches", "oz/in"], OUNCE * GRAVITY * INCH),
    of(Kind::Torque, &["lbin", "lbfin", "inlb", "inlbs", "inlbf", "poundinch", "lb/in"], POUND * GRAVITY * INCH),
    of(Kind::Torque, &["lbft", "lbfft", "ftlb", "ftlbs", "ftlbf", "poundfoot", "lb/ft"], POUND * GRAVITY * FOOT),
    of(Kind::Torque, &["kgfcm", "kgcm", "kgfcentimetre", "kg/cm", "cmkg"], GRAVITY / 1e2),
    of(Kind::Torque, &["gfcm", "gcm", "g/cm"], GRAVITY / 1e5),
    of(Kind::Torque, &["kgfm", "kgm", "kpm"], GRAVITY),
    of(Kind::Torque, &["nmm"], 1e-3),
    of(Kind::Torque, &["mnm"], 1e-3),
    of(Kind::MomentOfInertia, &["ozin²", "ozin2"], OUNCE * INCH * INCH),
    of(Kind::MomentOfInertia, &["lbin²", "lbin2"], POUND * INCH * INCH),
    of(Kind::MomentOfInertia, &["gcm2", "gsqcm"], 1e-7),
    of(Kind::Power, &["hp", "horsepower"], 550.0 * FOOT * POUND * GRAVITY),
    of(Kind::Power, &["btu/h", "btu/hr", "btuh"], BTU / 3600.0),
    of(Kind::Power, &["watt", "watts", "va"], 1.0),
    of(Kind::Energy, &["btu"], BTU),
    of(Kind::Energy, &["cal"], 4.184),
    of(Kind::Energy, &["kcal"], 4_184.0),
    of(Kind::Energy, &["joule", "joules"], 1.0),
    of(Kind::Velocity, &["in/s", "ips", "in/sec", "inch/s", "inches/s"], INCH),
    of(Kind::Velocity, &["in/min", "ipm", "inch/min", "inches/min"], INCH / 60.0),
    of(Kind::Velocity, &["ft/min", "fpm"], FOOT / 60.0),
    of(Kind::Velocity, &["ft/s", "fps"], FOOT),
    of(Kind::Velocity, &["cm/s"], 1e-2),
    of(Kind::Velocity, &["mm/sec", "mms", "mmps"], 1e-3),
    of(Kind::Velocity, &["m/min"], 1.0 / 60.0),
    of(Kind::Acceleration, &["in/s²", "in/s2", "in/sec²", "in/sec2", "ips²", "ips2"], INCH),
    of(Kind::Acceleration, &["g", "gn", "gee"], GRAVITY),
    of(Kind::Acceleration, &["mm/s2", "mm/sec²", "mm/sec2", "mm/s/s"], 1e-3),
    of(Kind::Acceleration, &["m/s2", "m/s/s"], 1.0),
    of(Kind::Density, &["lb/in³", "lb/in3"], POUND / (INCH * INCH * INCH)),
    of(Kind::Density, &["lb/ft³", "lb/ft3"], POUND / (FOOT * FOOT * FOOT)),
    of(Kind::SpecificHeat, &["btu/lb/°f", "btu/(lb°f)", "cal/g/k", "cal/g/°c"], 4_186.8),
    of(Kind::StepDensity, &["step/in", "steps/in", "step/inch", "steps/inch"], 1.0 / INCH),
    of(Kind::StepDensity, &["steps/mm", "stepspermm", "steppermm", "spm"], 1e3),
    of(Kind::Frequency, &["steps/s", "steps/sec", "sps"], 1.0),
    of(Kind::Frequency, &["rpm"], 1.0 / 60.0),
    of(Kind::AngularVelocity, &["rps"], core::f64::consts::TAU),
    of(Kind::AngularVelocity, &["°/s", "deg/s"], core::f64::consts::PI / 180.0),
    of(Kind::Angle, &["degree", "degrees"], core::f64::consts::PI / 180.0),
    of(Kind::ResistancePerLength, &["ω/ft"], 1.0 / FOOT),
    of(Kind::ResistancePerLength, &["ω/kft", "ω/1000ft"], 1e-3 / FOOT),
    of(Kind::ThermalResistance, &["c/w", "degc/w", "kelvin/w"], 1.0),
    of(Kind::ThermalResistance, &["°f/w", "f/w"], 5.0 / 9.0),
    of(Kind::ThermalConductance, &["w/°c", "w/c"], 1.0),
    of(Kind::HeatCapacity, &["j/°c", "j/c"], 1.0),
    of(Kind::HeatCapacity, &["btu/°f", "btu/f"], BTU * 9.0 / 5.0),
    of(Kind::Voltage, &["vdc", "vac", "v=", "volt", "volts"], 1.0),
    of(Kind::Current, &["amp", "amps", "ampere", "amperes", "adc", "arms"], 1.0),
    of(Kind::Current, &["milliamps", "milliamp"], 1e-3),
    of(Kind::Capacitance, &["mfd", "ufd"], 1e-6),
    of(Kind::Time, &["sec", "secs", "second", "seconds"], 1.0),
    of(Kind::Time, &["minute", "minutes", "mins"], 60.0),
    of(Kind::Time, &["hr", "hrs", "hour", "hours"], 3600.0),
    of(Kind::Time, &["msec"], 1e-3),
    of(Kind::Resistance, &["r"], 1.0),
    of(Kind::Resistance, &["k"], 1e3),
    of(Kind::Resistance, &["meg"], 1e6),
];

/// A text without what spellings of one unit differ in.
fn plain(text: &str) -> String {
    let kept = text
        .chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '·' | '*' | '-' | '‑' | '.'));
    kept.flat_map(char::to_lowercase).collect()
}

/// The number and the text that follows it, in base units of a kind; `None` where the unit is not in the table.
fn value(number: f64, rest: &str, kind: Kind) -> Option<f64> {
    // A tolerance behind it begins with its sign; a hyphen belongs to a unit such as oz-in.
    let unit = rest.split(['±', '(', '+', ',', ';']).next()?;
    let unit = plain(unit.split("..").next()?);
    let row = TABLE
        .iter()
        .find(|row| row.kind == kind && row.spelled.contains(&unit.as_str()));
    if let Some(row) = row {
        return Some(number * row.factor + row.offset);
    }
    match kind {
        Kind::Resistance => marked(number, &unit),
        Kind::Length => fraction(number, &unit),
        _ => None,
    }
}

/// A resistor as it is marked: 4k7, 2R2, 1M5 (IEC 60062).
fn marked(number: f64, unit: &str) -> Option<f64> {
    let mut rest = unit.chars();
    let factor = match rest.next()? {
        'r' => 1.0,
        'k' => 1e3,
        'm' => 1e6,
        _ => return None,
    };
    let digits = rest.as_str();
    let whole = number.fract() == 0.0 && (1..=3).contains(&digits.len());
    let digits = Some(digits).filter(|digits| whole && digits.bytes().all(|byte| byte.is_ascii_digit()))?;
    format!("{number}.{digits}")
        .parse()
        .ok()
        .map(|number: f64| number * factor)
}

/// A fraction of an inch: 5/16 in.
fn fraction(number: f64, unit: &str) -> Option<f64> {
    let rest = unit.strip_prefix('/')?;
    let end = rest.find(|c: char| !c.is_ascii_digit())?;
    let (below, unit) = rest.split_at(end);
    let below: f64 = below.parse().ok().filter(|below| *below > 0.0)?;
    (unit == "in" || INCHES.contains(&unit)).then_some(number / below * INCH)
}

/// How a value in a unit outside the table of its kind would be written: "write `100 °C`" of 212 °F.
pub(crate) fn help(number: f64, rest: &str, kind: Kind) -> Option<String> {
    let base = value(number, rest, kind).filter(|base| base.is_finite())?;
    let shown = AnyValue {
        kind,
        nominal: base,
        low: base,
        high: base,
    };
    Some(format!("write `{}`", show(&shown, Digits::new(5))))
}

#[cfg(test)]
mod tests {
    use super::{TABLE, help, plain, value};
    use crate::unit::Kind;

    /// NIST SP 811 (2008), appendix B.8: factors to seven digits. From memory.
    #[test]
    fn factors_are_those_of_the_published_table() {
        for (text, kind, factor) in [
            ("inch", Kind::Length, 2.54e-2),
            ("mil", Kind::Length, 2.54e-5),
            ("ft", Kind::Length, 3.048e-1),
            ("kcmil", Kind::Area, 5.067_075e-7),
            ("lb", Kind::Mass, 4.535_924e-1),
            ("oz", Kind::Mass, 2.834_952e-2),
            ("lbf", Kind::Force, 4.448_222),
            ("ozf", Kind::Force, 2.780_139e-1),
            ("oz-in", Kind::Torque, 7.061_552e-3),
            ("lbf·in", Kind::Torque, 1.129_848e-1),
            ("ft-lb", Kind::Torque, 1.355_818),
            ("kgf cm", Kind::Torque, 9.806_65e-2),
            ("hp", Kind::Power, 7.456_999e2),
            ("BTU/h", Kind::Power, 2.930_711e-1),
            ("lb/in³", Kind::Density, 2.767_990e4),
        ] {
            let found = value(1.0, text, kind).unwrap_or(f64::NAN);
            assert!((found / factor - 1.0).abs() < 1e-6, "{text}: {found}");
        }
    }

    /// NIST SP 811 (2008), appendix B.8: `t/°C = (t/°F − 32)/1.8`. From memory.
    #[test]
    fn a_temperature_is_said_in_degrees_celsius() {
        assert_eq!(
            help(212.0, "°F", Kind::Temperature).as_deref(),
            Some("write `100 °C`")
        );
        assert_eq!(
            help(-40.0, " deg F ± 5", Kind::Temperature).as_deref(),
            Some("write `-40 °C`")
        );
        assert_eq!(
            help(9.0, "°F", Kind::TemperatureDifference).as_deref(),
            Some("write `5 K`")
        );
    }

    /// IEC 60062: the letter stands for the point. From memory.
    #[test]
    fn marks_of_resistors_and_fractions_of_an_inch() {
        assert_eq!(
            help(4.0, "k7", Kind::Resistance).as_deref(),
            Some("write `4.7 kΩ`")
        );
        assert_eq!(
            help(2.0, "R2", Kind::Resistance).as_deref(),
            Some("write `2.2 Ω`")
        );
        assert_eq!(
            help(100.0, "K", Kind::Resistance).as_deref(),
            Some("write `100 kΩ`")
        );
        assert_eq!(
            help(5.0, "/16\"", Kind::Length).as_deref(),
            Some("write `7.9375 mm`")
        );
        assert_eq!(help(5.0, "/0 in", Kind::Length), None);
        assert_eq!(help(5.0, "V", Kind::Length), None);
    }

    #[test]
    fn spellings_are_plain_and_stand_once_in_a_kind() {
        for (at, row) in TABLE.iter().enumerate() {
            for spelled in row.spelled {
                assert_eq!(plain(spelled).as_str(), *spelled, "{:?}", row.kind);
                let before = TABLE[..at].iter().filter(|other| other.kind == row.kind);
                assert!(
                    before.clone().all(|other| !other.spelled.contains(spelled)),
                    "{spelled}"
                );
            }
        }
    }
}
