//! What the swap says, as the workload wants it: limits of the machine, boards with their steps, heaters of the assignment, words.

use core::num::NonZeroUsize;

use ::settings::captured::read_file;
use ::settings::{About, Dialect, Meaning as Row, SettingWord, Settings, Topic};
use catalogue::Limits;
use model::machine::{Axis, AxisId, Detail, Drive, Machine};
use model::{Controller, Cooled, Kinematics, Swap};
use physics::motion;
use plan::heating::Corner as At;
use plan::{Pair, Plan, axes};
use quantity::si::{Acceleration, Frequency, Length, Power, StepDensity, Velocity, ratio};
use quantity::{Number as _, Quantity, Range, Value};
use workload::{
    Assumed, Board, Corner, Fan, Filament, Heat, Heater, Letter, Link, Meaning, Melt, Motor, Rapid, Sets,
    Setup, Vocabulary, Zone,
};

use crate::faults::Trouble;

/// Everything that is given to the workload. `plans` are those of all candidates, `shown` is the one whose heaters count, `settings` are its
/// own.
pub fn setup(
    swap: &Swap,
    plans: &[Plan<'_>],
    shown: &Plan<'_>,
    settings: &Settings,
) -> Result<Setup, Trouble> {
    let known = Known {
        machine: &swap.machine,
        limits: swap.catalogue.limits(),
        settings,
    };
    let kinematics = kinematics(&swap.machine)?;
    Ok(Setup {
        motors: known.motors(&kinematics),
        boards: plans.iter().map(|plan| known.board(plan, &kinematics)).collect(),
        heat: known.heat(shown),
        links: known.links(),
        machine: known.machine(kinematics),
    })
}

/// What is assumed where nobody measured it.
pub fn assumed(limits: &Limits) -> Assumed {
    let melt = limits.workload_melt_flow.value;
    Assumed {
        melt: Range::new(melt.low(), melt.high()),
    }
}

/// The words that are understood: those of programs, and over them those of the controller that the settings are for. Known are all of
/// these, and what its reports showed.
pub fn vocabulary(settings: &Settings, controller: &Controller) -> Vocabulary {
    let mut words = Vocabulary::default();
    let own = settings.dialect.rows();
    let published = Dialect::of_programs().rows().iter();
    let published = published.filter(|row| own.iter().all(|own| own.name() != row.name()));
    for row in published.chain(own) {
        match &row.meaning {
            Row::Action { word, does, .. } => {
                words.insert(word, Meaning::of_action(does));
            }
            Row::Setting(setting) => take(setting, &mut words),
            Row::Report { .. } => continue,
        }
        words.know(row.name());
    }
    for text in controller.after_loading.iter().chain(&controller.read_back) {
        let report = read_file(&text.path, &text.text, &settings.dialect);
        let told = report.commands.iter().map(|spoken| &spoken.word);
        let done = report.actions.iter().map(|action| &action.word);
        told.chain(done).for_each(|word| words.know(word));
    }
    words
}

/// Takes up what each letter of a row sets; a word of which none matters changes nothing.
fn take(row: &SettingWord, words: &mut Vocabulary) {
    let one = row.value(1.0).map(|one| one.nominal);
    let ascii = |letter: char| u8::try_from(letter).unwrap_or(0);
    let own = |letter: char, beside: Option<(char, usize)>, part: &str| {
        Some(Letter {
            letter: ascii(letter),
            beside: beside.map(|(by, number)| (ascii(by), number)),
            sets: Sets::named(row.topic.id(), part)?,
            one,
        })
    };
    let mut all: Vec<Letter> = Vec::new();
    for letter in row.letters.iter().copied() {
        match &row.about {
            About::Letter => all.extend(own(letter, None, &letter.to_string())),
            About::Part(part) => all.extend(own(letter, None, part)),
            About::Picked { by, parts } => {
                let parts = parts.iter().enumerate();
                all.extend(parts.filter_map(|(at, part)| own(letter, Some((*by, at)), part)));
            }
        }
    }
    if all.is_empty() && !words.understands(&row.word) {
        words.insert(&row.word, Meaning::Nothing);
    }
    for letter in all {
        words.insert_letter(&row.word, letter);
    }
}

fn kinematics(machine: &Machine) -> Result<motion::Kinematics, Trouble> {
    Ok(match machine.kinematics {
        Kinematics::CrossedBelts => motion::Kinematics::CrossedBelts,
        Kinematics::TwoCarriages => motion::Kinematics::TwoCarriages {
            moving: motion::Carriages::First,
        },
        Kinematics::Delta => {
            let help = "state `arm` and `radius` under [geometry] in the machine file".to_owned();
            let problem = "the speeds of the carriages need the geometry of the delta";
            plan::kinematics::delta(machine).ok_or_else(|| Trouble::user(problem, help))?
        }
        // The words of a belt printer's files name its axes: Y the gantry, Z the belt.
        Kinematics::Cartesian | Kinematics::BeltBed => motion::Kinematics::Cartesian,
    })
}

/// Where values come from: the machine file, then what the old controller reported, then what is usual.
struct Known<'a> {
    machine: &'a Machine,
    limits: &'a Limits,
    settings: &'a Settings,
}

/// A motor of the kinematics or of an extruder: its axis, and which of the axis's motors it is, where each counts by itself.
#[derive(Clone, Copy)]
struct Place {
    axis: AxisId,
    single: Option<usize>,
}

impl Known<'_> {
    /// What the old controller reported last, where its number has a certain meaning.
    fn reported<Q: Quantity>(&self, topic: Topic, of: &str) -> Option<Q> {
        let old = self.settings.find(topic, of)?.old.as_ref()?;
        Some(old.value.any()?.typed::<Q>()?.nominal())
    }

    fn extruders(&self) -> impl Iterator<Item = AxisId> + '_ {
        self.axes_that(|axis| matches!(axis.drive, Drive::Extruder { .. }))
    }

    fn axes_that(&self, wanted: impl Fn(&Axis) -> bool) -> impl Iterator<Item = AxisId> {
        let axes = self.machine.axes.iter().enumerate();
        axes.filter(move |(_, axis)| wanted(axis))
            .map(|(at, _)| AxisId(at))
    }

    /// The axis that counts as x, y or z: by its letter, else by its place.
    fn moved(&self, at: usize) -> Option<AxisId> {
        let letters = [["X", "A"], ["Y", "B"], ["Z", "C"]][at];
        let named = |axis: &Axis| {
            letters
                .iter()
                .any(|letter| axis.name.value.eq_ignore_ascii_case(letter))
        };
        let by_name = self.axes_that(named).next();
        by_name.or_else(|| {
            self.axes_that(|axis| !matches!(axis.drive, Drive::Extruder { .. }))
                .nth(at)
        })
    }

    fn machine(&self, kinematics: motion::Kinematics) -> workload::Machine {
        let limits = self.limits;
        let axes = [0, 1, 2].map(|at| self.axis(at));
        let largest = axes[0].acceleration.larger(axes[1].acceleration);
        let filament = self.filament();
        let reported = |topic| self.reported::<Acceleration>(topic, "machine");
        let geometry = self.machine.geometry.as_ref();
        workload::Machine {
            kinematics,
            printing: reported(Topic::PrintAcceleration).unwrap_or(largest),
            travelling: reported(Topic::TravelAcceleration).unwrap_or(largest),
            retracting: reported(Topic::RetractAcceleration).unwrap_or(filament.acceleration),
            axes,
            filament,
            reach: geometry
                .and_then(|geometry| geometry.reach)
                .map(|reach| reach.value.nominal()),
            corner: Corner::SuddenChange,
            look_ahead: None,
            rapid: Rapid::AsFeed,
            chord: limits.workload_arc_chord.value.nominal(),
            radius_error: limits.workload_arc_radius_error.value.nominal(),
            piece: limits.workload_delta_piece.value.nominal(),
        }
    }

    fn axis(&self, at: usize) -> workload::Axis {
        let limits = self.limits;
        let axis = self.moved(at).map(|id| self.machine.axis(id));
        let name = axis.map_or_else(|| ["X", "Y", "Z"][at].to_owned(), |axis| axis.name.value.clone());
        let (acceleration, change) = if at == 2 {
            (&limits.workload_acceleration_z, &limits.workload_sudden_change_z)
        } else {
            (&limits.workload_acceleration, &limits.workload_sudden_change)
        };
        // A delta is bounded by its reach; the travel of a tower is not that of the nozzle.
        let travel = axis
            .and_then(|axis| axis.travel)
            .filter(|_| self.machine.kinematics != Kinematics::Delta);
        workload::Axis {
            top_speed: axis.map_or(Velocity::from_base(f64::MAX), |axis| axis.max_speed.value.high()),
            acceleration: axis
                .and_then(|axis| axis.acceleration)
                .map(|stated| stated.value.high())
                .or_else(|| self.reported(Topic::Acceleration, &name))
                .unwrap_or(acceleration.value.nominal()),
            sudden_change: axis
                .and_then(|axis| axis.corner_speed)
                .map(|stated| stated.value.high())
                .or_else(|| self.reported(Topic::CornerSpeed, &name))
                .unwrap_or(change.value.nominal()),
            travel: travel.map(|travel| travel.value.nominal()),
            homing_speed: axis
                .and_then(|axis| axis.homing_speed)
                .map(|speed| speed.value.nominal()),
            home: Length::from_base(0.0),
            name,
        }
    }

    fn filament(&self) -> Filament {
        let limits = self.limits;
        let axis = self.extruders().next().map(|id| self.machine.axis(id));
        let name = axis.map_or("E", |axis| axis.name.value.as_str());
        Filament {
            top_speed: axis.map_or(Velocity::from_base(f64::MAX), |axis| axis.max_speed.value.high()),
            acceleration: axis
                .and_then(|axis| axis.acceleration)
                .map(|stated| stated.value.high())
                .or_else(|| self.reported(Topic::Acceleration, name))
                .unwrap_or(limits.workload_acceleration_filament.value.nominal()),
            sudden_change: axis
                .and_then(|axis| axis.corner_speed)
                .map(|stated| stated.value.high())
                .or_else(|| self.reported(Topic::CornerSpeed, name))
                .unwrap_or(limits.workload_sudden_change_filament.value.nominal()),
            diameter: self
                .reported(Topic::FilamentDiameter, "machine")
                .unwrap_or(limits.workload_filament_diameter.value.nominal()),
        }
    }

    /// The motors in the order of the kinematics, then the extruders.
    fn places(&self, kinematics: &motion::Kinematics) -> Vec<Option<Place>> {
        let whole = |at| self.moved(at).map(|axis| Place { axis, single: None });
        let moved: Vec<Option<Place>> = match kinematics {
            motion::Kinematics::TwoCarriages { .. } => {
                let carriage = |number| {
                    self.moved(0).map(|axis| Place {
                        axis,
                        single: Some(number),
                    })
                };
                vec![carriage(0), carriage(1), whole(1), whole(2)]
            }
            _ => (0..3).map(whole).collect(),
        };
        let extruders = self.extruders().map(|axis| Some(Place { axis, single: None }));
        moved.into_iter().chain(extruders).collect()
    }

    fn motors(&self, kinematics: &motion::Kinematics) -> Vec<Motor> {
        let one = |place: Option<Place>| {
            let Some(place) = place else {
                return Motor {
                    name: "?".to_owned(),
                    steps: StepDensity::from_base(0.0),
                };
            };
            let axis = self.machine.axis(place.axis);
            let mut devices = self.machine.motors_of(place.axis);
            let device = devices
                .nth(place.single.unwrap_or(0))
                .map(|id| self.machine.device(id));
            let steps = device.map_or(StepDensity::from_base(0.0), |device| match &device.detail {
                Detail::Motor(motor) => {
                    axes::steps_per_length(axis, motor, axes::wanted_microsteps(axis)).nominal()
                }
                _ => StepDensity::from_base(0.0),
            });
            Motor {
                name: device.map_or_else(
                    || axis.name.value.clone(),
                    |device| format!("{} ({})", device.name.value, device.tag.value),
                ),
                steps,
            }
        };
        self.places(kinematics).into_iter().map(one).collect()
    }

    fn board(&self, plan: &Plan<'_>, kinematics: &motion::Kinematics) -> Board {
        let setup = plan.setup();
        let pairs: Vec<Pair<'_>> = setup.pairs().collect();
        let one = |place: Option<Place>| {
            let Some(place) = place else {
                return StepDensity::from_base(0.0);
            };
            let axis = self.machine.axis(place.axis);
            let devices: Vec<_> = self.machine.motors_of(place.axis).collect();
            let meant = |id| match place.single {
                Some(number) => devices.get(number) == Some(&id),
                None => devices.contains(&id),
            };
            // A second motor on a driver steps with the first: one row of pulses.
            let own = pairs.iter().filter(|pair| meant(pair.id) && !pair.way.second);
            let steps = own.filter_map(|pair| match (&pair.device().detail, pair.driver()) {
                (Detail::Motor(motor), Some(driver)) => {
                    Some(axes::steps_per_length(axis, motor, axes::microsteps(axis, driver)).high())
                }
                _ => None,
            });
            steps.sum()
        };
        let processor = &plan.board.processor;
        Board {
            name: plan.board.name.value.clone(),
            step_rate: processor.step_rate.value.low(),
            share: self.limits.processor_step_rate_share.value.low(),
            steps: self.places(kinematics).into_iter().map(one).collect(),
        }
    }

    fn heat(&self, plan: &Plan<'_>) -> Heat {
        let limits = self.limits;
        let facts = plan.setup().facts();
        let mut hot_ends = 0;
        let mut heaters = Vec::new();
        for (id, device) in self.machine.device_ids() {
            let Detail::Heater(heater) = &device.detail else {
                continue;
            };
            let zone = match heater.zone {
                model::Zone::HotEnd => {
                    hot_ends += 1;
                    Zone::HotEnd(hot_ends - 1)
                }
                model::Zone::Bed => Zone::Bed,
                model::Zone::Chamber => Zone::Chamber,
            };
            let own = facts.heated().find(|heating| heating.pair.id == id);
            let most = own.map(|heating| heating.power_when_cold());
            heaters.push(Heater {
                name: format!("{} ({})", device.name.value, device.tag.value),
                zone,
                part: own.and_then(|heating| heating.corner(At::Nominal)),
                surplus: most.map_or(ratio(1.0), |most| {
                    (most.high() / most.nominal()).larger(ratio(1.0))
                }),
            });
        }
        Heat {
            heaters,
            fans: self.fans(),
            supply: plan::heat_up::rating(plan.swap).map(|rating| rating.low()),
            melt: Melt {
                density: limits.workload_plastic_density.value.high(),
                heat: limits.workload_plastic_heat.value.high(),
                room: plan.swap.ambient.temperature.value.nominal(),
                limit: None,
            },
            within: limits.workload_heater_within.value.nominal(),
            longest_wait: limits.workload_longest_wait.value.nominal(),
        }
    }

    /// Fans that a program switches: those of the printed part.
    fn fans(&self) -> Vec<Fan> {
        let of = |device: &model::machine::Device| match &device.detail {
            Detail::Fan(fan) if fan.cools == Cooled::Part => Some(Fan {
                name: format!("{} ({})", device.name.value, device.tag.value),
                power: Power::from_base(
                    fan.voltage.value.nominal().base() * fan.current.value.nominal().base(),
                ),
            }),
            _ => None,
        };
        self.machine.devices.iter().filter_map(of).collect()
    }

    fn links(&self) -> Vec<Link> {
        let limits = self.limits;
        let moves = limits.workload_moves_ahead.value.low().base();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a small whole number"
        )]
        let moves_ahead = NonZeroUsize::new(moves as usize).unwrap_or(NonZeroUsize::MIN);
        let rate = self
            .reported::<quantity::si::Ratio>(Topic::SerialRate, "machine")
            .map_or(limits.workload_serial_rate.value.nominal(), |rate| {
                Frequency::from_base(rate.base())
            });
        let answer = limits.workload_line_answer.value.high();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a bit rate is a whole number"
        )]
        let bits = workload::words::grouped(rate.base() as u64);
        vec![
            Link {
                name: format!("serial at {bits} bit/s"),
                // Start, eight bits, stop.
                bytes: rate / 10.0,
                answer: "ok\n".len() as u32,
                turn_round: answer,
                comments: false,
                moves_ahead,
            },
            Link {
                name: format!("card at {}", bytes(limits.workload_card_rate.value)),
                bytes: limits.workload_card_rate.value.low(),
                answer: 0,
                turn_round: quantity::si::second(0.0),
                comments: true,
                moves_ahead,
            },
        ]
    }
}

fn bytes(rate: Value<Frequency>) -> String {
    format!("{} kB/s", rate.low().base() / 1e3)
}
