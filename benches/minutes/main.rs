//! Minutes to the fault, way by way of choosing tests: `cargo bench --no-default-features --bench minutes`.
//! `-- 13` plays 13 games on each harness (or so many seeds of each drill) instead of 2 (or 100); `-- harnesses` and `-- drills`
//! play one of the two only, `-- drills split-half` (or another key) that drill only; `-- advice` (or the beginning of another
//! name) only the ways of that name, `-- tell` says what was done in each game. `-- rank` plays 500 vehicles (or so many as
//! are given), drills and levels in turn, each by every way, and says whether the ways rank.
//!
//! The harnesses are those of the generated level-1 cases, each with faults of its own drawn from fixed seeds; the redrawn
//! ones have the same shapes with lengths and minutes of their own, which nothing was ever tuned on. The drills are those
//! of practice. What the meter shows comes from the simulated vehicle of the practice room, which shares nothing with the
//! engine but the sketch. A test costs what `advise::price` says; opening up goes in the order of the findings until the
//! true place is open, at 4 minutes a metre of wire, 3 and the connector's minutes for a sensor.

#[path = "../../tests/support/generated.rs"]
mod generated;
mod harness;
mod rank;

use std::sync::atomic::{AtomicUsize, Ordering};

use generated::cases;
use harness::{exercise, redrawn};
use pinchpoint::practice::{
    Drill, Exercise, Level,
    trainee::{Played, Way, play},
};

/// Games on each harness, and seeds of each drill.
const GAMES: u64 = 2;
const SEEDS: u64 = 100;
/// Vehicles that every way plays to be ranked.
const RANKED: u64 = 500;
/// Games that are played at the same time.
const THREADS: usize = 2;
/// Minutes that a wrong conclusion costs beyond what was opened in vain.
const LOST: f64 = 60.0;

/// Plays all exercises one way; those that cannot be played are said to.
fn played(way: Way, all: &[(Exercise, u64)], tell: bool) -> Vec<Played> {
    let next = AtomicUsize::new(0);
    let one = || {
        let mut scores = Vec::new();
        while let Some((exercise, seed)) = all.get(next.fetch_add(1, Ordering::Relaxed)) {
            match play(exercise, way, *seed, &|| true) {
                Ok(session) => {
                    let score = Played::of(&session);
                    if tell {
                        println!("{}, seed {seed}: {score:?}", exercise.title);
                        for step in session.steps() {
                            println!(
                                "  {:?}: {:?} ({:.1} min)",
                                step.done, step.outcome, step.minutes
                            );
                        }
                    }
                    scores.push(score);
                }
                Err(error) => println!("{}, seed {seed}: {error}", exercise.title),
            }
        }
        scores
    };
    std::thread::scope(|scope| {
        let threads: Vec<_> = (0..THREADS).map(|_| scope.spawn(one)).collect();
        (threads.into_iter())
            .flat_map(|thread| thread.join().expect("no game panics"))
            .collect()
    })
}

fn line(what: &str, way: Way, scores: &[Played]) {
    let n = scores.len().max(1) as f64;
    let cost = |score: &Played| score.minutes + if score.found { 0.0 } else { LOST };
    let mean = |of: &dyn Fn(&Played) -> f64| scores.iter().map(of).sum::<f64>() / n;
    let mut all: Vec<f64> = scores.iter().map(cost).collect();
    all.sort_by(f64::total_cmp);
    let at = |share: f64| all.get((share * n) as usize).copied().unwrap_or(0.0);
    let (least, spread) = (mean(&cost), {
        let about = mean(&cost);
        (mean(&|score| (cost(score) - about).powi(2)) / n).sqrt()
    });
    println!(
        "| {what} | {} | {} | {:.1} | {:.1} | {:.1} | **{least:.1}** ± {spread:.1} | {:.1} | {:.1} | {} |",
        way.name(),
        scores.len(),
        mean(&|s| s.tests as f64),
        mean(&|s| s.minutes - s.opening),
        mean(&|s| s.opening),
        at(0.5),
        at(0.9),
        scores.iter().filter(|s| !s.found).count(),
    );
}

fn main() {
    let typed: Vec<String> = std::env::args().skip(1).collect();
    if typed.iter().any(|a| a == "--test") {
        return;
    }
    let number: Option<u64> = typed.iter().find_map(|a| a.parse().ok());
    let has = |word: &str| typed.iter().any(|a| a == word);
    if has("rank") {
        return rank::rank(number.unwrap_or(RANKED), has("tell"));
    }
    let (harnesses, drills) = (!has("drills"), !has("harnesses"));
    let called = |way: &Way| typed.iter().any(|a| way.name().starts_with(a.as_str()));
    let any = Way::ALL.iter().any(&called);
    let ways: Vec<Way> = (Way::ALL.into_iter())
        .filter(|way| !any || called(way))
        .collect();
    println!(
        "| vehicles | way | games | tests | minutes of tests | of opening | in all | median | 90th percentile | not found |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
    if harnesses {
        let drawn = cases("L1");
        let games = |again: bool| {
            let mut all = Vec::new();
            for (index, case) in drawn.iter().enumerate() {
                let case = &redrawn(case, again.then_some(index as u64));
                for round in 0..number.unwrap_or(GAMES) {
                    let seed = 1000 * index as u64 + round;
                    all.push((exercise(case, seed), seed));
                }
            }
            all
        };
        for &way in &ways {
            line("harnesses", way, &played(way, &games(false), has("tell")));
        }
        for &way in ways.iter().filter(|way| **way == Way::Advisor) {
            line("redrawn", way, &played(way, &games(true), has("tell")));
        }
    }
    let some = Drill::ALL.iter().any(|drill| has(drill.key()));
    let chosen = |drill: &Drill| drills && (!some || has(drill.key()));
    for drill in Drill::ALL.into_iter().filter(chosen) {
        let level = match drill {
            Drill::SplitHalf => Level::Hard,
            _ => Level::Everyday,
        };
        let seeds = 0..number.unwrap_or(SEEDS);
        let all: Vec<(Exercise, u64)> = seeds.map(|s| (drill.exercise(level, s), s)).collect();
        for &way in &ways {
            line(drill.key(), way, &played(way, &all, has("tell")));
        }
    }
}
