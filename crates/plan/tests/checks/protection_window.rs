//! `protection-window`: where there is one, where there is none, and up to which temperature.

use crate::support::{Case, one};
use plan::{Finding, Setup, Verdict};
use quantity::Number;

/// With the dead time that is usual, stated: what is left open without it is a test of its own.
fn of(case: &Case, what: &str) -> Finding {
    as_stated(&case.clone().device("H1", "dead_time = '3 s (2 s .. 5 s)'"), what)
}

fn as_stated(case: &Case, what: &str) -> Finding {
    let findings = case
        .load()
        .wholes_at("protection-window", &[("H1", "HEAT1"), ("T1", "TH1")]);
    let of = |finding: &Finding| finding.subject.other.as_deref() == Some(what);
    one(findings.into_iter().filter(of).collect(), what)
}

#[test]
fn a_healthy_part_has_both_windows() {
    let rise = of(&safe(), "heat-up");
    assert_eq!(rise.verdict, Verdict::Pass, "{}", rise.headline);
    let healthy = &rise.working[0];
    assert_eq!(healthy.formula.id, "healthy-rise");
    let fall = of(&safe(), "holding");
    assert_eq!(fall.verdict, Verdict::Pass, "{}", fall.headline);
    assert!(
        fall.headline.contains("12.0 K below its setpoint"),
        "{}",
        fall.headline
    );
}

/// The machine of the tests, of which nothing is harmed below 400 °C: there is time for a heat-up under control.
fn safe() -> Case {
    Case::new().device("H1", "temperature_limit = '400 °C'")
}

/// What a controller makes of a part, by other means than the library: Runge-Kutta at 10 ms, a controller that computes five times in a second and
/// pulses its heater, a bead with a lag of its own, and a watch that begins anew with each success. The moment at which it trips.
struct Bench {
    power: f64,
    loss: f64,
    capacity: f64,
    air: f64,
    dead_time: f64,
    gain: f64,
    integral: f64,
}

impl Bench {
    fn trips(&self, setpoint: f64, near: f64, (rise, time): (f64, f64)) -> Option<f64> {
        const STEP: f64 = 0.01;
        // A third of the dead time is the lag of the bead, the rest is a queue.
        let bead_lag = self.dead_time / 3.0;
        let mut queue: std::collections::VecDeque<f64> =
            std::iter::repeat_n(0.0, (self.dead_time * 2.0 / 3.0 / STEP).round() as usize).collect();
        let (mut part, mut bead, mut integral, mut share) = (self.air, self.air, 0.0, 0.0);
        let (mut began, mut from) = (0.0, self.air);
        for index in 0..200_000_u32 {
            let now = f64::from(index) * STEP;
            if index % 20 == 0 {
                let error = setpoint - bead;
                let wanted = self.gain * error + integral;
                share = wanted.clamp(0.0, 1.0);
                if (0.0..=1.0).contains(&wanted) || (wanted > 1.0) == (error < 0.0) {
                    integral += self.gain * error * 0.2 / self.integral;
                }
                if bead >= setpoint - near {
                    return None;
                }
                if bead - from >= rise {
                    (began, from) = (now, bead);
                } else if now - began >= time {
                    return Some(now);
                }
            }
            // Twenty steps to a pulse.
            let on = f64::from(index % 20) < share * 20.0;
            queue.push_back(if on { self.power } else { 0.0 });
            let heat = queue.pop_front().unwrap_or(0.0);
            let slope = |t: f64| (heat - self.loss * (t - self.air)) / self.capacity;
            let k1 = slope(part);
            let k2 = slope(part + STEP / 2.0 * k1);
            let k3 = slope(part + STEP / 2.0 * k2);
            let k4 = slope(part + STEP * k3);
            let before = part;
            part += STEP / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
            bead += (f64::midpoint(before, part) - bead) * (1.0 - (-STEP / bead_lag).exp());
        }
        Some(f64::INFINITY)
    }
}

/// The watch that is proposed under the controller that is proposed, on the healthy machine at each corner and between: nothing trips.
#[test]
fn no_healthy_heat_up_trips() {
    for (tolerances, dead_time, bears) in [
        (0.0, "3 s", "400 °C"),
        (0.1, "2.5 s ± 20 %", "400 °C"),
        (0.15, "2.5 s ± 30 %", "300 °C"),
        (0.08, "5 s ± 10 %", "300 °C"),
    ] {
        let band = |nominal: f64, unit: &str| format!("'{nominal} {unit} ± {} %'", tolerances * 100.0);
        let case = Case::new()
            .device("H1", &format!("temperature_limit = '{bears}'"))
            .device("H1", &format!("dead_time = '{dead_time}'"))
            .device("H1", &format!("heat_capacity = {}", band(13.0, "J/K")))
            .device("H1", &format!("thermal_conductance = {}", band(0.14, "W/K")));
        let loaded = case.load();
        let mut ways = vec![None; loaded.swap.machine.devices.len()];
        for (tag, port) in [("H1", "HEAT1"), ("T1", "TH1")] {
            ways[loaded.id(tag).0] = Some(loaded.ways(tag, port)[0]);
        }
        let facts = Setup::new(loaded.site(), &ways).facts();
        let heating = facts.heated().next().expect("a heater");
        let protection = facts.protection(heating).expect("its windows");
        let window = protection.rise.expect("a watch");
        let pid = protection.pid;
        let guarded = &protection.guarded;
        let late = heating.dead_time();
        let mut trips_at_twice = false;
        let ends = [0.0, 0.5, 1.0];
        for number in 0..81_usize {
            let share = |digit: u32| ends[number / 3_usize.pow(digit) % 3];
            let between = |low: f64, high: f64, digit| low + (high - low) * share(digit);
            let power = heating.power_when_hot();
            let bench = Bench {
                power: between(power.low().base(), power.high().base(), 0),
                loss: between(guarded.loss.low().base(), guarded.loss.high().base(), 1),
                capacity: between(guarded.capacity.low().base(), guarded.capacity.high().base(), 2),
                air: guarded.air.low().base(),
                dead_time: between(late.low().base(), late.high().base(), 3),
                gain: pid.gain.base(),
                integral: pid.integral.expect("PI").base(),
            };
            let watch = (window.rise.base(), window.time.base());
            // The least that a heat-up is watched for: `protection.near_goal` is 1 K to 3 K.
            let tripped = bench.trips(guarded.held.base(), 1.0, watch);
            assert_eq!(tripped, None, "{tolerances}, {dead_time}, {number}: {window:?}");
            trips_at_twice |= bench
                .trips(guarded.held.base(), 1.0, (watch.0 * 4.0, watch.1))
                .is_some();
        }
        assert!(trips_at_twice, "a bench on which nothing trips proves nothing");
    }
}

/// At the rate of full power a watch fits that the controller, which takes power off before, cannot meet: 1.5 K in 8 s on a part of 48 W ± 8 %,
/// 13 J/K ± 15 %, 0.14 W/K ± 15 % and a controller of 1/26 K (computed by hand: at 26 K below its setpoint it begins to fall behind).
#[test]
fn a_watch_for_full_power_trips_under_the_controller() {
    let bench = Bench {
        power: 43.0,
        loss: 0.161,
        capacity: 15.0,
        air: 20.0,
        dead_time: 3.0,
        gain: 1.0 / 26.0,
        integral: 60.0,
    };
    assert!(bench.trips(230.0, 2.0, (1.5, 8.0)).is_some_and(f64::is_finite));
}

/// A thermometer that slips out just below the goal leaves the heater on from there, not from the room: harm counts from how hot the part is
/// then, ahead of its reading by the dead time, and the window is told by that.
#[test]
fn a_slip_on_the_way_counts_from_where_the_part_is() {
    let finding = of(
        &Case::new().device("H1", "temperature_limit = '275 °C'"),
        "heat-up",
    );
    assert!(
        finding.headline.contains("just as it reads 250 °C"),
        "{}",
        finding.headline
    );
    let harm = finding.working.last().expect("when harm begins");
    let start = harm
        .inputs
        .iter()
        .find(|input| input.symbol == "ϑ₀")
        .expect("a start");
    assert!(start.value.nominal > 250.0 + 273.15, "{}", start.value.nominal);
    let [.., noticed, _, _] = finding.working.as_slice() else {
        panic!("four lines of working");
    };
    let room = harm.result.nominal / noticed.result.nominal / 1.5 - 1.0;
    assert!((finding.margin.expect("a margin") - room).abs() < 1e-9, "{room}");
    let tighter = of(
        &Case::new().device("H1", "temperature_limit = '254 °C'"),
        "heat-up",
    );
    assert_eq!(tighter.verdict, Verdict::Caution, "{}", tighter.headline);
}

#[test]
fn a_part_that_hardly_gets_there_has_no_watch_over_its_heat_up() {
    let finding = of(
        &Case::new()
            .device("H1", "working_temperature = '304 °C'")
            .device("H1", "temperature_limit = '400 °C'"),
        "heat-up",
    );
    assert_eq!(finding.verdict, Verdict::Caution);
    assert!(
        finding.headline.contains("no heat-up monitoring"),
        "{}",
        finding.headline
    );
    let remedy = finding.remedy.expect("a remedy");
    assert!(remedy.contains("set no more than"), "{remedy}");
}

#[test]
fn a_weak_part_just_above_the_work_leaves_no_time() {
    let with = |bears: &str| {
        of(
            &Case::new().device("H1", &format!("temperature_limit = '{bears}'")),
            "holding",
        )
        .verdict
    };
    assert_eq!(with("275 °C"), Verdict::Pass);
    assert_eq!(with("254 °C"), Verdict::Caution);
}

#[test]
fn a_usual_dead_time_leaves_both_windows_open() {
    for what in ["heat-up", "holding"] {
        let finding = as_stated(&safe(), what);
        assert_eq!(finding.verdict, Verdict::Caution, "{}", finding.headline);
        assert!(finding.asks, "{what}");
        assert!(
            finding
                .headline
                .contains("`dead_time` of H1 (hot-end heater) is not stated"),
            "{}",
            finding.headline
        );
    }
}

#[test]
fn without_the_body_it_says_so() {
    let case = Case::new().without_line("machine.toml", "[[device]]\ntag = \"H1\"", "heat_capacity");
    assert_eq!(of(&case, "windows").verdict, Verdict::Caution);
}
