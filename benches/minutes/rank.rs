//! The order of the ways over the drills: every way plays the same hidden faults, drills and levels in turn.

use std::sync::atomic::{AtomicUsize, Ordering};

use super::{LOST, THREADS};
use pinchpoint::practice::{
    Drill, Level, path,
    score::{Tally, points},
    trainee::{Played, Way, play},
};

/// One vehicle with what each way took on it, in the order of [`Way::ALL`].
struct Game {
    seed: u64,
    drill: Drill,
    level: Level,
    ways: Vec<Outcome>,
}

/// What one way took: until the last fault lay open, and its points with the proof.
struct Outcome {
    played: Played,
    score: f64,
}

impl Outcome {
    /// Minutes, with what a vehicle costs that comes back.
    fn cost(&self) -> f64 {
        self.played.minutes + if self.played.found { 0.0 } else { LOST }
    }
}

/// Seed k plays drill k mod 8, the levels in turn.
fn game(seed: u64) -> Result<Game, String> {
    let turn = seed as usize;
    let drill = Drill::ALL[turn % Drill::ALL.len()];
    let level = Level::ALL[turn / Drill::ALL.len() % Level::ALL.len()];
    let exercise = drill.exercise(level, seed);
    let mut ended = Vec::new();
    for way in Way::ALL {
        let session = play(&exercise, way, seed, &|| true);
        let mut session = session.map_err(|error| format!("seed {seed}: {error}"))?;
        let played = Played::of(&session);
        let proven = played.found && path::prove(&mut session);
        ended.push((played, proven, session.minutes()));
    }
    // The pace is set by the advice, or by the quickest that found it all where the advice did not.
    let quickest = (ended.iter().filter(|(played, ..)| played.found))
        .map(|(.., minutes)| *minutes)
        .fold(f64::INFINITY, f64::min);
    let par = match ended.last() {
        Some((played, _, minutes)) if played.found => *minutes,
        _ => quickest,
    };
    let scored = |(played, proven, minutes): (Played, bool, f64)| Outcome {
        score: f64::from(points(&Tally {
            minutes,
            par,
            remarks: 0,
            hints: 0,
            in_vain: played.in_vain,
            found: played.found,
            proven,
        })),
        played,
    };
    Ok(Game {
        seed,
        drill,
        level,
        ways: ended.into_iter().map(scored).collect(),
    })
}

/// Mean and standard error.
fn mean(values: &[f64]) -> (f64, f64) {
    let n = values.len().max(1) as f64;
    let about = values.iter().sum::<f64>() / n;
    let spread = values.iter().map(|v| (v - about).powi(2)).sum::<f64>() / (n - 1.0).max(1.0);
    (about, (spread / n).sqrt())
}

/// The lines of some games, and whether they rank as they should.
fn lines(what: &str, games: &[&Game]) {
    let mut before: Option<Vec<f64>> = None;
    let (mut ranks, mut means) = (true, Vec::new());
    for (at, way) in Way::ALL.into_iter().enumerate() {
        let all: Vec<&Outcome> = games.iter().map(|game| &game.ways[at]).collect();
        let costs: Vec<f64> = all.iter().map(|one| one.cost()).collect();
        let of = |value: &dyn Fn(&Outcome) -> f64| {
            mean(&all.iter().map(|one| value(one)).collect::<Vec<f64>>())
        };
        let (minutes, error) = mean(&costs);
        let (score, off) = of(&|one| one.score);
        // The same vehicles, so that the gain is reckoned vehicle by vehicle.
        let gain = before.as_ref().map_or(String::new(), |before| {
            let each: Vec<f64> = before.iter().zip(&costs).map(|(a, b)| a - b).collect();
            let (gain, error) = mean(&each);
            format!("{gain:.1} ± {error:.1}")
        });
        ranks &= means.last().is_none_or(|last| minutes < *last);
        means.push(minutes);
        println!(
            "| {what} | {} | {} | {:.1} | **{minutes:.1}** ± {error:.1} | {gain} | {:.1} | {} | {score:.0} ± {off:.1} |",
            way.name(),
            all.len(),
            of(&|one| one.played.tests as f64).0,
            of(&|one| one.played.in_vain as f64).0,
            all.iter().filter(|one| !one.played.found).count(),
        );
        before = Some(costs);
    }
    let says = if ranks { "as they should" } else { "otherwise" };
    println!("| {what} | they rank {says} | | | | | | | |");
}

/// Plays so many seeds and prints the table; with `tell` also every game.
pub fn rank(seeds: u64, tell: bool) {
    let next = AtomicUsize::new(0);
    let some = || {
        let mut games = Vec::new();
        loop {
            let seed = next.fetch_add(1, Ordering::Relaxed) as u64;
            if seed >= seeds {
                return games;
            }
            match game(seed) {
                Ok(game) => games.push(game),
                Err(error) => println!("{error}"),
            }
            let last = games.last().filter(|game| tell && game.seed == seed);
            for (way, one) in last.iter().flat_map(|game| Way::ALL.iter().zip(&game.ways)) {
                let Some(game) = last else { continue };
                println!(
                    "seed {seed}; {}; level {}; {}; {:.1} min; score {}; {:?}",
                    game.drill.key(),
                    game.level.number(),
                    way.name(),
                    one.cost(),
                    one.score,
                    one.played
                );
            }
        }
    };
    let games: Vec<Game> = std::thread::scope(|scope| {
        let threads: Vec<_> = (0..THREADS).map(|_| scope.spawn(some)).collect();
        (threads.into_iter())
            .flat_map(|thread| thread.join().expect("no game panics"))
            .collect()
    });
    println!(
        "| drill | way | games | tests | minutes | fewer than the one before | opened in vain | not found | score |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- | --- |");
    for drill in Drill::ALL {
        let own: Vec<&Game> = games.iter().filter(|game| game.drill == drill).collect();
        lines(drill.key(), &own);
    }
    lines("all", &games.iter().collect::<Vec<&Game>>());
}
