//! The hundred generated cases: coverage, sharpness and sizes, level by level.

#[path = "support/generated.rs"]
mod generated;

use generated::{Case, cases, reading};
use pinchpoint::{
    fault::{FaultKind, Site},
    infer::{
        candidate::{Candidate, candidates},
        lower::Model,
        posterior,
        posterior::quantile,
        search::{Search, search, weighed},
    },
};

/// Bits by which the true pair must outweigh the best that has no more than one fault, its price paid, to be told by the
/// readings.
const TELLING: f64 = 3.0;

/// One thing that a set of suspects can hold: a tenth of a wire, or a thing with a kind of fault.
#[derive(Clone, Debug, PartialEq)]
struct Cell {
    site: Site,
    kind: FaultKind,
    tenth: Option<usize>,
    probability: f64,
    metres: f64,
}

struct Outcome {
    truth: Vec<(Site, Option<usize>, Vec<FaultKind>)>,
    cells: Vec<Cell>,
    size: Option<(f64, f64, f64, f64)>,
    mistaken: Option<(usize, usize)>,
    top_two: Vec<Site>,
    /// Bits by which the true pair, fitted, outweighs the best with one fault or none, and the best that blames other sites.
    telling: Option<(f64, f64)>,
}

fn truth(case: &Case) -> Vec<(Site, Option<usize>, Vec<FaultKind>)> {
    use FaultKind::*;
    let name = |f: &serde_json::Value, key: &str| f[key].as_str().expect("a name").to_owned();
    case.truth["faults"]
        .as_array()
        .expect("faults")
        .iter()
        .map(|f| match f["kind"].as_str() {
            Some("short_to_ground") => {
                let tenth = (f["at"].as_f64().expect("a fraction") * 10.0).floor() as usize;
                (
                    Site::part(name(f, "wire")),
                    Some(tenth.min(9)),
                    vec![ShortToGround],
                )
            }
            Some("load_short") => (Site::part(name(f, "load")), None, vec![DrawsTooMuch]),
            Some("contact") => (
                Site::pin(
                    name(f, "connector"),
                    f["pin"].as_u64().expect("a pin") as u8 + 1,
                ),
                None,
                vec![HighResistance],
            ),
            Some("open") => (
                Site::part(name(f, "wire")),
                None,
                vec![Open, HighResistance],
            ),
            Some("unlisted_branch_short") => (
                Site::part(
                    name(f, "node")
                        .split('.')
                        .next()
                        .expect("a part")
                        .to_owned(),
                ),
                None,
                vec![UndrawnShort, ShortToGround],
            ),
            other => panic!("unknown fault {other:?}"),
        })
        .collect()
}

fn run(case: &Case) -> Outcome {
    let model = Model::new(&case.circuit, &case.meter, &case.log, &[]);
    let list = candidates(&case.circuit, &model);
    let found = search(&model, &list);
    let post = posterior::posterior(&found, &list, 0, model.measured.len());
    let mut cells: Vec<Cell> = Vec::new();
    for marginal in &post.marginals {
        let length = case
            .circuit
            .wires
            .iter()
            .find(|w| w.id == marginal.site.part)
            .map_or(0.0, |w| w.length_or_assumed());
        match &marginal.cells {
            Some((_, fine)) => {
                for (tenth, chunk) in fine.chunks(fine.len() / 10).enumerate() {
                    cells.push(Cell {
                        site: marginal.site.clone(),
                        kind: marginal.kind,
                        tenth: Some(tenth),
                        probability: chunk.iter().sum(),
                        metres: length / 10.0,
                    });
                }
            }
            None => cells.push(Cell {
                site: marginal.site.clone(),
                kind: marginal.kind,
                tenth: None,
                probability: marginal.probability,
                metres: 0.0,
            }),
        }
    }
    cells.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    let truth = truth(case);
    let first = &case.truth["faults"][0];
    let size = first["ohm"].as_f64().and_then(|ohm| {
        let m = post.marginals.iter().find(|m| {
            m.site == truth[0].0 && truth[0].2.contains(&m.kind) && !m.sizes.is_empty()
        })?;
        let q = |level| quantile(&m.sizes, level).map(f64::exp);
        Some((ohm, q(0.05)?, q(0.5)?, q(0.95)?))
    });
    let worst = (0..post.mistaken.len())
        .max_by(|&a, &b| post.mistaken[a].total_cmp(&post.mistaken[b]))
        .unwrap_or(0);
    let mistaken = case.truth["mistaken_reading"]
        .as_u64()
        .map(|m| (m as usize, worst));
    let mut top_two: Vec<Site> = Vec::new();
    for m in &post.marginals {
        if !top_two.contains(&m.site) {
            top_two.push(m.site.clone());
        }
    }
    top_two.truncate(2);
    let telling = (truth.len() == 2)
        .then(|| telling(case, &model, &list, &found, &truth))
        .flatten();
    Outcome {
        telling,
        truth,
        cells,
        size,
        mistaken,
        top_two,
    }
}

/// How much better than anything else the true pair explains the readings, in bits.
fn telling(
    case: &Case,
    model: &Model,
    list: &[Candidate],
    found: &Search,
    truth: &[(Site, Option<usize>, Vec<FaultKind>)],
) -> Option<(f64, f64)> {
    let mut pair = Vec::new();
    for (t, fault) in truth.iter().zip(case.truth["faults"].as_array()?) {
        let ln = fault["ohm"].as_f64().unwrap_or(1e6).ln();
        let fits = |c: &(usize, &Candidate)| {
            let here = match (c.1.ends(), t.1) {
                (Some((low, high)), Some(tenth)) => {
                    (low..high).contains(&(0.1 * tenth as f64 + 0.05))
                }
                _ => true,
            };
            c.1.site == t.0 && t.2.contains(&c.1.kind) && here
        };
        pair.push((list.iter().enumerate().find(fits)?.0, ln));
    }
    let own = weighed(model, list, &pair)?.log_weight;
    let best = |which: &dyn Fn(&[usize]) -> bool| {
        let all = found.hypotheses.iter().filter(|h| which(&h.faults));
        let most = all.map(|h| h.log_weight).fold(found.unexplained, f64::max);
        (own - most) / std::f64::consts::LN_2
    };
    let blames = |f: &[usize]| truth.iter().all(|t| f.iter().any(|&f| list[f].site == t.0));
    Some((best(&|f| f.len() < 2), best(&|f| !blames(f))))
}

fn holds(cell: &Cell, truth: &(Site, Option<usize>, Vec<FaultKind>)) -> bool {
    cell.site == truth.0 && truth.2.contains(&cell.kind) && cell.tenth == truth.1
}

struct Table {
    covered: f64,
    metres: f64,
    log2: f64,
    size_covered: f64,
    size_factor: f64,
    named: (usize, usize),
    top: f64,
}

/// Mean and standard error of a list: the standard deviation of the means of lists drawn from it with replacement (the
/// bootstrap: B. Efron, Annals of Statistics 7, 1979), which for a mean has the closed form used here.
fn mean(values: &[f64]) -> (f64, f64) {
    let count = values.len().max(1) as f64;
    let mean = values.iter().sum::<f64>() / count;
    let variance = values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / count;
    (mean, (variance / count).sqrt())
}

/// log2 of the probability of the true cell where only shorts to ground in wires and sensors are thought of, as whoever
/// knows what level 1 may hide: what it costs to think of all else is the difference.
fn told_the_kind(cells: &[Cell], p: f64) -> f64 {
    let kinds = |c: &&Cell| c.tenth.is_some() || c.kind == FaultKind::DrawsTooMuch;
    let total: f64 = cells.iter().filter(kinds).map(|c| c.probability).sum();
    (p / total).log2()
}

fn level(name: &str) -> Table {
    let list = cases(name);
    let count = list.len() as f64;
    let mut covered = Vec::new();
    let mut metres = Vec::new();
    let mut log2 = Vec::new();
    let mut told_kind = Vec::new();
    let mut size_covered = Vec::new();
    let mut factors = Vec::new();
    let mut named = (0, 0);
    let mut both = (0, 0);
    let mut told = (0, 0);
    let mut told_apart = (0, 0);
    let mut top = 0.0;
    for case in &list {
        let started = std::time::Instant::now();
        let out = run(case);
        let total: f64 = out
            .cells
            .iter()
            .map(|c| c.probability)
            .sum::<f64>()
            .max(1.0);
        let mut sum = 0.0;
        let mut set = Vec::new();
        for cell in &out.cells {
            set.push(cell);
            sum += cell.probability;
            if sum >= 0.9 * total {
                break;
            }
        }
        let inside = set.iter().any(|c| out.truth.iter().any(|t| holds(c, t)));
        let p = out
            .cells
            .iter()
            .filter(|c| out.truth.iter().any(|t| holds(c, t)))
            .map(|c| c.probability)
            .fold(1e-6, f64::max);
        let long: f64 = set.iter().map(|c| c.metres).sum();
        let first = out
            .cells
            .first()
            .map(|c| (c.site.to_string(), c.kind, c.probability));
        covered.push(f64::from(u8::from(inside)));
        metres.push(long);
        log2.push(p.log2());
        told_kind.push(told_the_kind(&out.cells, p));
        if out.truth.iter().any(|t| out.top_two.first() == Some(&t.0)) {
            top += 1.0;
        }
        if let Some((ohm, low, _, high)) = out.size {
            size_covered.push(f64::from(u8::from((low..=high).contains(&ohm))));
            factors.push((high / low).sqrt());
        }
        if let Some((true_one, worst)) = out.mistaken {
            named.1 += 1;
            named.0 += usize::from(true_one == worst);
        }
        if out.truth.len() == 2 {
            both.1 += 1;
            let named = out.truth.iter().all(|t| out.top_two.contains(&t.0));
            both.0 += usize::from(named);
            if out.telling.is_some_and(|t| t.0 >= TELLING) {
                told.1 += 1;
                told.0 += usize::from(named);
            }
            if out.telling.is_some_and(|t| t.0.min(t.1) >= TELLING) {
                told_apart.1 += 1;
                told_apart.0 += usize::from(named);
            }
            println!(
                "    a pair: {:?} bits, named {:?}",
                out.telling, out.top_two
            );
        }
        println!(
            "{} {} log2 {:.3} set={} ({long:.2} m) size={:?} mistaken={:?} top={first:?} truth={:?} {:?}",
            case.id,
            if inside { "in " } else { "OUT" },
            p.log2(),
            set.len(),
            out.size,
            out.mistaken,
            out.truth
                .iter()
                .map(|t| format!("{}:{:?}", t.0, t.1))
                .collect::<Vec<_>>(),
            started.elapsed(),
        );
    }
    factors.sort_by(f64::total_cmp);
    let [covered, metres, log2, told_kind, sized] =
        [&covered, &metres, &log2, &told_kind, &size_covered].map(|list| mean(list));
    let table = Table {
        covered: covered.0,
        metres: metres.0,
        log2: log2.0,
        size_covered: sized.0,
        size_factor: factors.get(factors.len() / 2).copied().unwrap_or(1.0),
        named,
        top: top / count,
    };
    println!(
        "{name}: 90 % set covers {:.3} ± {:.3}, {:.2} ± {:.2} m; mean log2 {:.3} ± {:.3}",
        covered.0, covered.1, metres.0, metres.1, log2.0, log2.1
    );
    if name == "L1" {
        println!(
            "{name}: told that it is a short to ground in a wire or sensor, mean log2 {:.3} ± {:.3}",
            told_kind.0, told_kind.1
        );
    }
    println!(
        "{name}: size covers {:.3} ± {:.3} of {}, median factor {:.2}; mistaken {}/{}; both {}/{}, where two must be wrong \
         {}/{}, and where it must be these {}/{}; top {:.3}",
        sized.0,
        sized.1,
        size_covered.len(),
        table.size_factor,
        named.0,
        named.1,
        both.0,
        both.1,
        told.0,
        told.1,
        told_apart.0,
        told_apart.1,
        table.top
    );
    table
}

/// Floors a little below what was measured (DEVELOPERS.md has the table), so that a regression fails and luck does not.
#[test]
fn level_1_one_fault() {
    let table = level("L1");
    assert!(table.covered >= 0.85, "the 90 % set covers too little");
    assert!(table.metres <= 5.0, "the 90 % set is too long");
    assert!(table.log2 > -4.9, "the true cell gets too little");
    assert!(
        table.size_covered >= 0.84 && table.size_factor < 1.6,
        "ohms are off"
    );
    assert!(table.top > 0.3, "the top suspect is wrong too often");
}

#[test]
fn level_2_real_supplies() {
    let table = level("L2");
    assert!(table.covered >= 0.86, "the 90 % set covers too little");
    assert!(
        table.size_covered >= 0.8 && table.size_factor < 1.6,
        "ohms are off"
    );
}

#[test]
fn level_3_two_faults_and_mistakes() {
    let table = level("L3");
    assert!(table.covered >= 0.83, "the 90 % set covers too little");
    assert!(
        table.named.0 * 10 >= table.named.1 * 7,
        "mistaken readings are not named"
    );
}

/// A supply that is just in its limit, which lies a little below the typical one: 54 Ω on wire W5 of the feed of case
/// L1-0039, 5 V, 150 mA. What the meter shows was computed by an independent simulator with all parts within 1.7 standard
/// deviations; its author's own posterior gives the wire 0.12.
#[test]
fn a_supply_at_the_edge_of_its_limit_does_not_hide_the_wire() {
    let mut case = cases("L1-0039").remove(0);
    let shown = [
        ("C1.1f", "", 4.700),
        ("C3.1f", "", 4.691),
        ("C1.1m", "C3", 4.854),
        ("C1.1f", "C4", 4.849),
        ("C3.1f", "C4", 4.836),
    ];
    case.log = shown
        .map(|(red, off, value)| reading(red, off, value))
        .to_vec();
    let model = Model::new(&case.circuit, &case.meter, &case.log, &[]);
    let list = candidates(&case.circuit, &model);
    let found = search(&model, &list);
    let post = posterior::posterior(&found, &list, 0, model.measured.len());
    let on = |site: &str| -> f64 {
        let own = post.marginals.iter().filter(|m| m.site == Site::part(site));
        own.map(|m| m.probability).sum()
    };
    for m in post.marginals.iter().take(8) {
        println!("{} {:?} {:.3}", m.site, m.kind, m.probability);
    }
    assert!(on("W5") > 0.05, "the true wire has {}", on("W5"));
    assert!(on("W13") < 0.1, "a wire beyond has {}", on("W13"));
    assert!(
        post.mistaken.iter().all(|&m| m < 0.5),
        "{:?}",
        post.mistaken
    );
}

/// A short along the first wire behind the splice pulls a folding supply into its limit. Thirds of one wire explain the
/// readings alike, so none may be missing for having been fitted from the far side of the limit, where fits do not come to
/// rest: the evidence runs along a wire without a break.
#[test]
fn no_third_of_a_wire_is_lost_at_the_edge_of_a_limit() {
    let case = cases("L2-0003").remove(0);
    let model = Model::new(&case.circuit, &case.meter, &case.log, &[]);
    let list = candidates(&case.circuit, &model);
    let found = search(&model, &list);
    let thirds: Vec<f64> = (found.hypotheses.iter())
        .filter(|h| matches!(h.faults[..], [one] if list[one].site == Site::part("W2") && list[one].stretch.is_some()))
        .map(|h| h.log_weight)
        .collect();
    let (low, high) = (thirds.iter())
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), &w| {
            (low.min(w), high.max(w))
        });
    assert_eq!(thirds.len(), 3, "{thirds:?}");
    assert!(high - low < 1.0, "{thirds:?}");
}
