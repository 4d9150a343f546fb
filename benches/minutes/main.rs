//! Minutes to the fault on simulated harnesses, policy by policy: `cargo bench --no-default-features --bench minutes`.
//! `-- 13` plays 13 games on each harness instead of 2, `-- advice` only the policies of that name, `-- tell` says what
//! was read in each game of them.
//!
//! The harnesses are those of the generated level-1 cases, each with faults of its own drawn from fixed seeds; what the
//! meter shows comes from the simulated vehicle of the practice room, which shares nothing with the engine but the
//! sketch. A test costs what `advise::price` says; opening up goes in the order of the findings until the true place is
//! open, at 4 minutes a metre of wire, 3 and the connector's minutes for a sensor. The redrawn harnesses have the same
//! shapes with lengths and minutes of their own, which nothing was ever tuned on.

#[path = "../../tests/common/mod.rs"]
mod common;
mod game;
mod policy;

use std::sync::atomic::{AtomicUsize, Ordering};

use common::{Case, cases};
use game::{Game, Score, redrawn};
use pinchpoint::practice::Dice;
use policy::Policy;

/// Games on each harness.
const GAMES: u64 = 2;
/// Games that are played at the same time.
const THREADS: usize = 2;

fn play(policy: Policy, cases: &[Case], games: u64, tell: bool) -> Vec<Score> {
    let all: Vec<(usize, u64)> = (0..cases.len())
        .flat_map(|case| (0..games).map(move |round| (case, round)))
        .collect();
    let next = AtomicUsize::new(0);
    let one = || {
        let mut scores = Vec::new();
        while let Some(&(number, round)) = all.get(next.fetch_add(1, Ordering::Relaxed)) {
            let seed = 1000 * number as u64 + round;
            if let Some(mut game) = Game::new(&cases[number], seed) {
                policy.play(&mut game, &mut Dice::new(seed).fork("policy"));
                if tell {
                    game.tell();
                }
                scores.push(game.score);
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

fn line(name: &str, scores: &[Score]) {
    let n = scores.len().max(1) as f64;
    let mean = |of: &dyn Fn(&Score) -> f64| scores.iter().map(of).sum::<f64>() / n;
    let mut all: Vec<f64> = scores.iter().map(Score::all).collect();
    all.sort_by(f64::total_cmp);
    let at = |share: f64| all.get((share * n) as usize).copied().unwrap_or(0.0);
    println!(
        "| {name} | {} | {:.1} | {:.1} | {:.1} | **{:.1}** | {:.1} | {:.1} | {} |",
        scores.len(),
        mean(&|s| s.tests),
        mean(&|s| s.minutes),
        mean(&|s| s.opened),
        mean(&Score::all),
        at(0.5),
        at(0.9),
        scores.iter().filter(|s| s.wrong).count(),
    );
}

fn main() {
    let typed: Vec<String> = std::env::args().skip(1).collect();
    if typed.iter().any(|a| a == "--test") {
        return;
    }
    let games = typed.iter().find_map(|a| a.parse().ok()).unwrap_or(GAMES);
    let tell = typed.iter().any(|a| a == "tell");
    let asked = |name: &str| {
        let mut names =
            (typed.iter()).filter(|a| Policy::ALL.iter().any(|p| p.name() == a.as_str()));
        let any = names.clone().next().is_some();
        !any || names.any(|a| a == name)
    };
    println!(
        "| policy | games | tests | minutes of tests | of opening | in all | median | 90th percentile | wrong |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- | --- |");
    let drawn = cases("L1");
    for policy in Policy::ALL {
        if asked(policy.name()) {
            line(policy.name(), &play(policy, &drawn, games, tell));
        }
    }
    if asked(Policy::Advice.name()) {
        let again: Vec<Case> = (drawn.iter().enumerate())
            .map(|(number, case)| redrawn(case, number as u64))
            .collect();
        let scores = play(Policy::Advice, &again, games, tell);
        line("advice, harnesses redrawn", &scores);
    }
}
