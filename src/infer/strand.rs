//! Strands: elements that follow one another with nothing between them, so that one current flows through them all.
//!
//! With one current the sensitivities of such elements differ only by their ohms and spreads, so their contributions
//! to the covariance add up exactly: a strand leans like one element of spread √Σ(σᵢrᵢ)².

use super::{
    lower::{Model, PARTED, Role},
    predict::STARVED_SPREAD,
    solve::meter_port,
    union::Union,
};

/// One strand.
#[derive(Clone, Debug)]
pub struct Strand {
    /// Its elements.
    pub members: Vec<usize>,
    /// The member with the most ohms, across which the current is seen best.
    pub best: usize,
    /// Its nodes.
    pub across: (usize, usize),
    /// √Σ(σr)² of its members, Ω.
    pub sd_ohm: f64,
}

/// All strands of a model.
#[derive(Clone, Debug)]
pub struct Strands {
    /// The strands in a fixed order.
    pub list: Vec<Strand>,
    /// Strand of each element.
    pub of: Vec<usize>,
    /// Strand of which each node is an inner joint, if any.
    pub joint: Vec<Option<usize>>,
}

impl Strands {
    /// Finds the strands of a model: no meter, supply or attached load may touch the joints.
    pub fn new(model: &Model) -> Self {
        let nodes = model.pattern.nodes;
        let mut at: Vec<Vec<usize>> = vec![Vec::new(); nodes + 1];
        for (index, element) in model.elements.iter().enumerate() {
            at[element.a].push(index);
            at[element.b].push(index);
        }
        let mut free = vec![true; nodes + 1];
        free[nodes] = false;
        for source in &model.sources {
            free[source.feed] = false;
            free[source.ret] = false;
        }
        for measured in &model.measured {
            for &(node, _) in meter_port(model, measured.what).weights() {
                free[node] = false;
            }
        }
        let drawn = model.elements.len() + model.sources.len() + nodes;
        for branch in model.pattern.branches.iter().skip(drawn) {
            free[branch.a] = false;
            free[branch.b] = false;
        }
        let plain =
            |element: usize| !matches!(model.elements[element].role, Role::Load(_) | Role::Rail(_));
        let mut union = Union::new(model.elements.len());
        let joins = |node: usize| match at[node][..] {
            [one, two] if free[node] && one != two && plain(one) && plain(two) => Some((one, two)),
            _ => None,
        };
        for (one, two) in (0..nodes).filter_map(joins) {
            union.join(one, two);
        }
        let mut list: Vec<Strand> = Vec::new();
        let mut of = vec![0; model.elements.len()];
        for (index, element) in model.elements.iter().enumerate() {
            let first = union.root(index);
            if first == index {
                of[index] = list.len();
                list.push(Strand {
                    members: Vec::new(),
                    best: index,
                    across: (element.a, element.b),
                    sd_ohm: 0.0,
                });
            }
            of[index] = of[first];
            let strand = &mut list[of[first]];
            strand.members.push(index);
            strand.sd_ohm = strand.sd_ohm.hypot(element.spread / element.siemens);
            if element.siemens < model.elements[strand.best].siemens {
                strand.best = index;
                strand.across = (element.a, element.b);
            }
        }
        let joint = (0..=nodes)
            .map(|node| (node < nodes).then(|| joins(node)).flatten())
            .map(|pair| pair.map(|(one, _)| of[one]))
            .collect();
        Self { list, of, joint }
    }

    /// Appends the voltages across every strand's best member and across every electronic load to a column of nodes.
    pub fn append(&self, model: &Model, column: &mut Vec<f64>) {
        let nodes = column.len();
        column.resize(nodes + self.list.len() + model.electronic.len(), 0.0);
        let (nodes, more) = column.split_at_mut(nodes);
        let (on_strand, on_load) = more.split_at_mut(self.list.len());
        for (entry, strand) in on_strand.iter_mut().zip(&self.list) {
            *entry = nodes[strand.across.0] - nodes[strand.across.1];
        }
        for (entry, load) in on_load.iter_mut().zip(&model.electronic) {
            let element = &model.elements[load.element];
            *entry = nodes[element.a] - nodes[element.b];
        }
    }

    /// Factor of each strand's sensitivity, before the voltages across its best member, in a state.
    pub fn drive(&self, model: &Model, siemens: &[f64], below: &[bool]) -> Vec<f64> {
        let mut drive: Vec<f64> = self
            .list
            .iter()
            .map(|strand| {
                let g = siemens[strand.best];
                if strand.members.len() == 1 {
                    -model.elements[strand.best].spread * g
                } else if g <= PARTED {
                    0.0
                } else {
                    -strand.sd_ohm * g * g
                }
            })
            .collect();
        for (load, &below) in model.electronic.iter().zip(below) {
            if below {
                drive[self.of[load.element]] = -STARVED_SPREAD * siemens[load.element];
            }
        }
        drive
    }
}
