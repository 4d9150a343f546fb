//! Simulated trainees: those who choose their tests better need fewer minutes. `benches/minutes` plays more of them.

use pinchpoint::practice::{
    Drill, Level,
    trainee::{Played, Way, play},
};

/// Mean minutes of each way over a few seeds.
fn minutes(drill: Drill, level: Level, seeds: u64) -> [f64; 4] {
    [Way::Random, Way::OneAtATime, Way::HalfSplit, Way::Advisor].map(|way| {
        let each = (0..seeds).map(|seed| {
            let exercise = drill.exercise(level, seed);
            let session = play(&exercise, way, seed, &|| true);
            let played = Played::of(&session.expect("generated exercises can be done"));
            assert!(
                played.found,
                "{} by {}: {played:?}",
                drill.key(),
                way.name()
            );
            played.minutes
        });
        each.sum::<f64>() / seeds as f64
    })
}

/// With equal odds and equal effort the advice can gain nothing on halving by count; luck and what opening costs leave the
/// two within a sixth of one another.
#[test]
fn on_a_plain_chain_halving_beats_one_at_a_time_and_the_advice_halves() {
    let [any, one, half, advisor] = minutes(Drill::SplitHalf, Level::Hard, 6);
    assert!(
        any > one && one > half && advisor < 7.0 / 6.0 * half,
        "{any} {one} {half} {advisor}"
    );
}

#[test]
fn the_advice_beats_every_other_way_where_minutes_differ() {
    let [any, one, half, advisor] = minutes(Drill::AccessMinutes, Level::Everyday, 6);
    assert!(
        any > advisor && one > advisor && half > advisor,
        "{any} {one} {half} {advisor}"
    );
}
