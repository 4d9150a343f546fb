//! Simulated trainees: those who choose their tests better need fewer minutes. `benches/policies.rs` plays more of them.

use pinchpoint::practice::{
    Drill, Level,
    trainee::{Way, play},
};

fn minutes(drill: Drill, level: Level) -> [f64; 4] {
    Way::ALL.map(|way| {
        let each = (0..12).map(|seed| {
            let exercise = drill.exercise(level, seed);
            play(&exercise, way, seed)
                .expect("generated exercises can be done")
                .minutes
        });
        each.sum::<f64>() / 12.0
    })
}

#[test]
fn on_a_plain_chain_each_way_beats_the_one_before() {
    let [any, one, half, weighed] = minutes(Drill::SplitHalf, Level::Hard);
    assert!(
        any > one && one > half && half > weighed,
        "{any} {one} {half} {weighed}"
    );
}

#[test]
fn on_branches_halving_beats_plug_after_plug_and_minutes_count() {
    for drill in [Drill::UnequalOdds, Drill::AccessMinutes] {
        let [_, one, half, weighed] = minutes(drill, Level::Everyday);
        assert!(
            one > half && half > weighed,
            "{}: {one} {half} {weighed}",
            drill.key()
        );
    }
}
