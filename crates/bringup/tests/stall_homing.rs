//! Steps of axes that home by stall detection: they have no switch, so that no sentence speaks of one.

use bringup::Part;

fn words(part: &Part) -> String {
    format!("{part:?}")
}

#[test]
fn an_axis_without_a_switch_is_told_of_none() {
    let swap = model::load(&samples::example("demo")).unwrap_or_else(|faults| panic!("{:?}", faults.faults));
    let mut told = 0;
    for board in &swap.candidates {
        let plan = plan::plan(&swap, board);
        let settings = settings::settings(&plan.setup());
        let steps = bringup::steps(&plan, &settings);
        let parts = steps.iter().flat_map(|step| &step.parts);
        let homing = |id: &str| id.starts_with("home:") || id.starts_with("threshold:");
        for step in parts.filter(|part| homing(&part.id) && words(part).contains("stall")) {
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
