//! Lanes for paths: the trunk in the middle, branches above and below by turns, nothing overlapping on one lane.

use std::collections::{BTreeMap, HashMap};

use super::paths::Path;

/// Which side of the trunk branches may take.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sides {
    /// Above and below by turns.
    Both,
    /// Below only.
    Below,
}

/// Lanes of a set of paths, the first trunk on lane 0.
pub(super) struct Packed {
    /// Lane per path.
    pub lane: Vec<i32>,
    /// Occupied spans per lane.
    pub spans: BTreeMap<i32, Vec<(f64, f64)>>,
}

/// A path with the branches hanging from it, as lanes counted outwards from its own.
#[derive(Default)]
struct Block {
    spans: Vec<Vec<(f64, f64)>>,
    /// Where risers to lanes farther out pass through each lane.
    risers: Vec<Vec<f64>>,
    paths: Vec<(usize, usize)>,
}

fn free(taken: &[(f64, f64)], span: (f64, f64)) -> bool {
    taken.iter().all(|t| span.1 <= t.0 || t.1 <= span.0)
}

/// Whether no riser passes through a span; one at its very start leaves the same joint.
fn clear(risers: &[f64], span: (f64, f64)) -> bool {
    risers.iter().all(|&x| x <= span.0 + 1e-9 || span.1 <= x)
}

impl Block {
    /// Puts a block of a branch that leaves at `start` on the nearest lanes outside the own path that are free for all
    /// of it.
    fn hang(&mut self, branch: Block, start: f64) {
        let mut offset = 1;
        while !branch.spans.iter().enumerate().all(|(j, spans)| {
            let taken = self.spans.get(offset + j).map_or(&[][..], Vec::as_slice);
            let risers = self.risers.get(offset + j).map_or(&[][..], Vec::as_slice);
            spans
                .iter()
                .all(|span| free(taken, *span) && clear(risers, *span))
        }) {
            offset += 1;
        }
        let lanes = (offset + branch.spans.len()).max(self.spans.len());
        self.spans.resize(lanes, Vec::new());
        self.risers.resize(lanes, Vec::new());
        for risers in &mut self.risers[1..offset] {
            risers.push(start);
        }
        for (j, spans) in branch.spans.into_iter().enumerate() {
            self.spans[offset + j].extend(spans);
        }
        for (j, risers) in branch.risers.into_iter().enumerate() {
            self.risers[offset + j].extend(risers);
        }
        self.paths
            .extend(branch.paths.into_iter().map(|(p, j)| (p, j + offset)));
    }
}

/// Assigns lanes. A branch occupies its lane from the place where it leaves its parent to its end plus `room` metres.
///
/// Branches are hung from the far end backwards: those already there start farther out, so a new riser crosses none,
/// and a new branch keeps clear of the risers that are there.
pub(super) fn pack(paths: &[Path], x: &HashMap<usize, f64>, room: f64, sides: Sides) -> Packed {
    let place = |node: &usize| x.get(node).copied().unwrap_or(0.0);
    let mut branches: Vec<Vec<usize>> = vec![Vec::new(); paths.len()];
    for (i, path) in paths.iter().enumerate() {
        if let Some(parent) = path.parent {
            branches[parent].push(i);
        }
    }
    let start = |i: &usize| paths[*i].attach.as_ref().map_or(0.0, place);
    let span = |path: &Path| {
        let all = || path.nodes.iter().chain(&path.attach).map(place);
        (
            all().fold(f64::INFINITY, f64::min),
            all().fold(f64::NEG_INFINITY, f64::max) + room,
        )
    };
    let mut blocks: Vec<Option<Block>> = paths.iter().map(|_| None).collect();
    let mut packed = Packed {
        lane: vec![0; paths.len()],
        spans: BTreeMap::new(),
    };
    let mut roots: Vec<(usize, Block, Block)> = Vec::new();
    for (i, path) in paths.iter().enumerate().rev() {
        let own = || Block {
            spans: vec![vec![span(path)]],
            risers: vec![Vec::new()],
            paths: vec![(i, 0)],
        };
        let (mut above, mut below) = (own(), own());
        let both = path.parent.is_none() && sides == Sides::Both;
        let mut turn = branches[i].clone();
        turn.sort_by(|a, b| start(a).total_cmp(&start(b)).then(a.cmp(b)));
        let mut sided: Vec<(usize, bool)> = turn
            .into_iter()
            .enumerate()
            .map(|(rank, branch)| (branch, both && rank % 2 == 0))
            .collect();
        sided.sort_by(|a, b| start(&b.0).total_cmp(&start(&a.0)).then(a.0.cmp(&b.0)));
        for (branch, up) in sided {
            if let Some(block) = blocks[branch].take() {
                if up { &mut above } else { &mut below }.hang(block, start(&branch));
            }
        }
        if path.parent.is_none() {
            roots.push((i, above, below));
        } else {
            blocks[i] = Some(below);
        }
    }
    let mut base = 0;
    for (rank, (_, above, below)) in roots.into_iter().rev().enumerate() {
        if rank > 0 {
            base += i32::try_from(above.spans.len()).unwrap_or(i32::MAX);
        }
        let height = i32::try_from(below.spans.len()).unwrap_or(i32::MAX);
        for (block, sign) in [(below, 1), (above, -1)] {
            for &(path, j) in &block.paths {
                packed.lane[path] = base + sign * i32::try_from(j).unwrap_or(i32::MAX);
            }
            let skip = usize::from(sign < 0);
            for (j, spans) in block.spans.into_iter().enumerate().skip(skip) {
                let lane = base + sign * i32::try_from(j).unwrap_or(i32::MAX);
                packed.spans.entry(lane).or_default().extend(spans);
            }
        }
        base += height - 1;
    }
    packed
}

impl Packed {
    /// The free lane nearest to lane 0 for a further span, which is taken. Lane 0 itself is never given.
    pub fn take(&mut self, span: (f64, f64), sides: Sides) -> i32 {
        let mut lane = 1;
        loop {
            let candidates = if sides == Sides::Both {
                vec![lane, -lane]
            } else {
                vec![lane]
            };
            for candidate in candidates {
                let spans = self.spans.entry(candidate).or_default();
                if free(spans, span) {
                    spans.push(span);
                    return candidate;
                }
            }
            lane += 1;
        }
    }

    /// Lowest and highest lane in use.
    pub fn range(&self) -> (i32, i32) {
        let used = || {
            self.spans
                .iter()
                .filter(|(_, spans)| !spans.is_empty())
                .map(|(lane, _)| *lane)
        };
        (used().min().unwrap_or(0), used().max().unwrap_or(0))
    }
}
