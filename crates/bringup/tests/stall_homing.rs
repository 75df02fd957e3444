//! Steps of axes that home by stall detection: they have no switch, so that no sentence speaks of one.

use bringup::Step;

fn words(step: &Step) -> String {
    format!("{step:?}")
}

#[test]
fn an_axis_without_a_switch_is_told_of_none() {
    let swap = model::load(&samples::example("demo")).unwrap_or_else(|faults| panic!("{:?}", faults.faults));
    let mut told = 0;
    for board in &swap.candidates {
        let plan = plan::plan(&swap, board);
        let settings = settings::settings(&plan.setup());
        let steps = bringup::steps(&plan, &settings);
        let homing = steps.iter().filter(|step| words(step).contains("stall"));
        for step in homing.filter(|step| step.id.starts_with("home:") || step.id.starts_with("threshold:")) {
            told += 1;
            for wrong in [
                "if the switch is not seen",
                "signalled by hand",
                "the switch belongs",
            ] {
                assert!(
                    !words(step).contains(wrong),
                    "{}: {}: {wrong}",
                    board.name.value,
                    step.id
                );
            }
        }
    }
    assert!(
        told >= 2,
        "X and Y of the demo home by stall detection on one board at least"
    );
}
