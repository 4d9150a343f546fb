//! Ways of choosing the next test, played to the end on the same simulated vehicles: tests, minutes until the fault is
//! uncovered, places opened in vain. `cargo bench --bench policies -- 500` plays 500 seeds of each drill.

use pinchpoint::practice::{
    Drill, Level,
    trainee::{Way, play},
};

fn main() {
    let seeds = std::env::args()
        .skip(1)
        .find_map(|typed| typed.parse().ok());
    let seeds: u64 = seeds.unwrap_or(100);
    println!("| drill | way | tests | minutes | opened in vain | found |");
    println!("| --- | --- | --- | --- | --- | --- |");
    let drills = [
        (Drill::SplitHalf, Level::Hard),
        (Drill::UnequalOdds, Level::Everyday),
        (Drill::AccessMinutes, Level::Everyday),
    ];
    for (drill, level) in drills {
        for way in Way::ALL {
            let (mut tests, mut minutes, mut in_vain, mut found) = (0, 0.0, 0, 0);
            for seed in 0..seeds {
                let exercise = drill.exercise(level, seed);
                let Ok(played) = play(&exercise, way, seed) else {
                    println!("{} seed {seed} cannot be played", drill.key());
                    continue;
                };
                tests += played.tests;
                minutes += played.minutes;
                in_vain += played.in_vain;
                found += u64::from(played.found);
            }
            let each = |sum: f64| sum / seeds as f64;
            println!(
                "| {} | {} | {:.1} | {:.0} | {:.2} | {:.0} % |",
                drill.key(),
                way.name(),
                each(tests as f64),
                each(minutes),
                each(in_vain as f64),
                100.0 * each(found as f64),
            );
        }
    }
}
