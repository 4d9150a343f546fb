//! Simulated trainees: those who choose their tests better need fewer minutes. `benches/minutes` plays 500 vehicles.

use pinchpoint::practice::{
    Drill, Level,
    trainee::{Played, Way, play},
};

/// Minutes that a vehicle costs which comes back, as in the bench.
const LOST: f64 = 60.0;

/// Mean minutes of each way over the same vehicles.
fn minutes(vehicles: &[(Drill, Level, u64)]) -> [f64; 4] {
    Way::ALL.map(|way| {
        let each = vehicles.iter().map(|&(drill, level, seed)| {
            let exercise = drill.exercise(level, seed);
            let session = play(&exercise, way, seed, &|| true);
            let played = Played::of(&session.expect("generated exercises can be done"));
            let sure = way == Way::Advisor || drill == Drill::SplitHalf;
            assert!(played.found || !sure, "{} {seed}: {played:?}", drill.key());
            played.minutes + if played.found { 0.0 } else { LOST }
        });
        each.sum::<f64>() / vehicles.len() as f64
    })
}

fn chain(seeds: u64) -> Vec<(Drill, Level, u64)> {
    let vehicle = |seed| (Drill::SplitHalf, Level::Hard, seed);
    (0..seeds).map(vehicle).collect()
}

/// With equal odds and equal effort the advice can gain nothing on halving by count; luck and what opening costs leave the
/// two within a sixth of one another.
#[test]
fn on_a_plain_chain_halving_beats_one_at_a_time_and_the_advice_halves() {
    let [any, one, half, advisor] = minutes(&chain(6));
    assert!(
        any > one && one > half && advisor < 7.0 / 6.0 * half,
        "{any} {one} {half} {advisor}"
    );
}

#[test]
fn the_advice_beats_every_other_way_where_minutes_differ() {
    let vehicles: Vec<(Drill, Level, u64)> = (0..6)
        .map(|seed| (Drill::AccessMinutes, Level::Everyday, seed))
        .collect();
    let [any, one, half, advisor] = minutes(&vehicles);
    assert!(
        any > advisor && one > advisor && half > advisor,
        "{any} {one} {half} {advisor}"
    );
}

/// The first vehicles of the bench, each drill twice, at its two lower levels.
#[test]
fn over_all_drills_each_way_beats_the_one_before() {
    let vehicles: Vec<(Drill, Level, u64)> = (0..16)
        .map(|turn| (Drill::ALL[turn % 8], Level::ALL[turn / 8], turn as u64))
        .collect();
    let ways = minutes(&vehicles);
    assert!(ways.is_sorted_by(|a, b| a > b), "{ways:?}");
}
