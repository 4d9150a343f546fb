//! What the engine answers: plain data, no text baked in, probabilities never exactly 0 or 1.

use std::collections::BTreeSet;

use serde::Serialize;

use super::{Proof, SupplyFinding, proof::SinceRepair};
use crate::{
    advise::{Advice, Best},
    circuit::{Circuit, Point, check::Complaint},
    fault::{FaultKind, Site},
    reading::{Entry, Meter, State},
};

/// Everything the answer depends on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Question<'a> {
    /// The sketch.
    pub circuit: &'a Circuit,
    /// The meter that took the readings.
    pub meter: &'a Meter,
    /// Readings and repairs in order.
    pub log: &'a [Entry],
    /// How the circuit stands on the bench now.
    pub now: &'a State,
    /// Parts that cannot be reached in this job.
    pub out_of_reach: &'a BTreeSet<String>,
}

/// A central interval with its median.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Interval {
    /// 5 % point.
    pub low: f64,
    /// 50 % point.
    pub median: f64,
    /// 95 % point.
    pub high: f64,
}

/// Where along a wire.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Position {
    /// The end from which the metres count.
    pub from: Point,
    /// The other end.
    pub to: Point,
    /// Metres from that end.
    pub metres: Interval,
    /// Length of the wire, m.
    pub length: f64,
}

/// One thing with one kind of fault.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Suspect {
    /// The thing.
    pub site: Site,
    /// What would be wrong with it.
    pub kind: FaultKind,
    /// Probability that this fault is there now (alone or with others).
    pub probability: f64,
    /// Ohms of the short, or ohms added in series; 90 % interval.
    pub resistance: Option<Interval>,
    /// Where along the wire; 90 % interval.
    pub position: Option<Position>,
    /// Index of its group in [`Findings::groups`].
    pub group: usize,
}

/// Suspects that no reachable test can tell apart.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Group {
    /// Indices into [`Findings::suspects`].
    pub members: Vec<usize>,
    /// Probability that the fault is in this group.
    pub probability: f64,
}

/// Faults present together; none at all is the healthy circuit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Combination {
    /// The faults.
    pub faults: Vec<(Site, FaultKind)>,
    /// Its probability.
    pub probability: f64,
}

/// How probability lies along a wire: equal cells from its `from` end.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WireDensity {
    /// Designation of the wire.
    pub wire: String,
    /// Probability of a short in each cell.
    pub cells: Vec<f64>,
}

/// A predicted value with its spread.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Predicted {
    /// Expected value (V, Ω or A).
    pub mean: f64,
    /// One standard deviation.
    pub sd: f64,
}

/// What a point should and would read to battery negative in the present state.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PointFinding {
    /// The point.
    pub point: Point,
    /// With nothing wrong.
    pub healthy: Predicted,
    /// The values within which it lies with nothing wrong, where a supply's limit may or may not be reached.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hinges: Option<(f64, f64)>,
    /// Under the top suspect.
    pub suspected: Option<Predicted>,
}

/// What the engine says of one reading.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ReadingFinding {
    /// Index in the log.
    pub entry: usize,
    /// With nothing wrong.
    pub healthy: Predicted,
    /// The values within which it lies with nothing wrong, where a supply's limit may or may not be reached.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hinges: Option<(f64, f64)>,
    /// Under the top suspect.
    pub suspected: Option<Predicted>,
    /// Bits by which it speaks for the top suspect against the runner-up.
    pub bits: f64,
    /// Probability that the reading is a mistake.
    pub mistaken: f64,
    /// What it most likely should have been, when it is probably a mistake.
    pub mistake: Option<Mistake>,
}

/// How a reading probably went wrong.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Mistake {
    /// A factor of a thousand: mV taken as V, or kΩ as Ω.
    UnitSlip {
        /// The value that would fit.
        should_be: f64,
    },
    /// The probe did not touch.
    NoContact,
    /// No mistake of the reading: the supply had latched off.
    LatchedOff {
        /// The supply.
        supply: String,
    },
    /// Another plug state fits: these connectors were probably the other way.
    PlugState {
        /// Connectors whose noted state does not fit.
        connectors: Vec<String>,
    },
    /// Fits nothing that the program knows.
    Unexplained,
}

/// A thing the user should know or mend.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Problem {
    /// Part or log line it points at.
    pub place: String,
    /// What is wrong.
    pub what: String,
    /// What to do.
    pub remedy: String,
    /// Whether an answer could be computed all the same.
    pub fatal: bool,
}

impl From<Complaint> for Problem {
    fn from(complaint: Complaint) -> Self {
        Self {
            place: complaint.part,
            what: complaint.what,
            remedy: complaint.remedy,
            fatal: complaint.fatal,
        }
    }
}

/// Whether the module can be accused.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ModuleVerdict {
    /// Not accused: its pin was read right with the harness off.
    Cleared {
        /// The supply.
        supply: String,
        /// Index in the log.
        entry: usize,
        /// What it read.
        volts: f64,
    },
    /// Not to be accused yet: its pin was not read alone with the harness off (and the key cycled where it latches).
    NotTested {
        /// The supply.
        supply: String,
        /// Unplugging these leaves the pin alone.
        unplug: Vec<String>,
        /// Wires that still hung on the pin when it read wrong with these unplugged: they may be at fault instead.
        still_on: Vec<String>,
        /// It may feed members that are not drawn, so that nobody knows whether the pin was alone.
        members: bool,
    },
    /// Accused: the pin read wrong alone.
    Accused {
        /// The supply.
        supply: String,
        /// Index in the log.
        entry: usize,
        /// What is still to do before it is replaced.
        before_replacing: Vec<Gate>,
    },
}

/// What stands between the accusation of a module and its replacement.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Gate {
    /// To read its pin alone once more, the key cycled.
    ReadAgain,
    /// To prove the meter and its leads: the pin read nothing at all.
    ProveMeter,
    /// To load its own powers and grounds, which are not on the sketch.
    LoadPowersAndGrounds,
}

/// How well the best explanation fits.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Fit {
    /// Probability of a misfit at least as bad as this one if the best explanation were true.
    pub tail: f64,
    /// Sum of squared standardised residuals under the best explanation.
    pub chi_squared: f64,
    /// Readings used.
    pub readings: usize,
}

/// The answer.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Findings {
    /// What to mend or know.
    pub problems: Vec<Problem>,
    /// Likeliest first.
    pub suspects: Vec<Suspect>,
    /// Suspects that cannot be told apart.
    pub groups: Vec<Group>,
    /// Faults together, likeliest first.
    pub combinations: Vec<Combination>,
    /// Probability that nothing is wrong.
    pub healthy: f64,
    /// Probability that nothing on this sketch explains the readings.
    pub unexplained: f64,
    /// Goodness of fit.
    pub fit: Fit,
    /// One per used reading.
    pub readings: Vec<ReadingFinding>,
    /// Every point, in the present state.
    pub points: Vec<PointFinding>,
    /// Short densities along wires.
    pub densities: Vec<WireDensity>,
    /// Probability density of the top suspect's ohms per decade: (ohm, density).
    pub resistance: Vec<(f64, f64)>,
    /// What the readings say of each supply; empty while nothing was read.
    pub supplies: Vec<SupplyFinding>,
    /// One per supply.
    pub modules: Vec<ModuleVerdict>,
    /// The proof of the last repair; none where nothing was repaired.
    pub proof: Option<Proof>,
    /// What to do next; told beside the findings.
    #[serde(skip)]
    pub next: Advice,
}

/// Probability from which a fault with those that cannot be told from it is no longer one of several.
pub const SETTLED: f64 = 0.6;

impl Findings {
    /// Whether faults together are still being weighed: what is there knows of single ones only, and accuses nobody.
    pub fn is_unfinished(&self) -> bool {
        self.next.best == Best::Searching
    }

    /// The likeliest suspect, where it is likelier than that nothing is wrong.
    pub fn accused(&self) -> Option<&Suspect> {
        let top = self.suspects.first()?;
        let likelier = top.probability > self.healthy && self.fit.readings > 0;
        (likelier && !self.is_unfinished()).then_some(top)
    }

    /// Faults that are likelier together than any fault alone.
    pub fn together(&self) -> Option<&Combination> {
        let likeliest = self.combinations.first()?;
        (likeliest.faults.len() > 1).then_some(likeliest)
    }

    /// The suspect that is a fault at a place.
    pub fn suspect(&self, (site, kind): &(Site, FaultKind)) -> Option<&Suspect> {
        let mut all = self.suspects.iter();
        all.find(|suspect| (&suspect.site, &suspect.kind) == (site, kind))
    }

    /// What the answer names: the faults that are likeliest together, else the likeliest suspect; nothing where it accuses
    /// nobody.
    pub fn named(&self) -> Vec<&Suspect> {
        let Some(top) = self.accused().filter(|_| !self.is_unexplained()) else {
            return Vec::new();
        };
        self.together().map_or_else(
            || vec![top],
            |together| {
                let faults = together.faults.iter();
                faults.filter_map(|fault| self.suspect(fault)).collect()
            },
        )
    }

    /// Probability of a suspect with those that cannot be told from it.
    pub fn with_its_group(&self, suspect: &Suspect) -> f64 {
        let group = self.groups.get(suspect.group);
        group.map_or(suspect.probability, |group| {
            group.probability.max(suspect.probability)
        })
    }

    /// Whether it is likelier that nothing on the sketch explains the readings than any suspect, or than nothing wrong.
    pub fn is_unexplained(&self) -> bool {
        let top = self.suspects.first();
        let likeliest = top.map_or(0.0, |suspect| self.with_its_group(suspect));
        self.unexplained > likeliest.max(self.healthy)
    }

    /// What the last repair leaves open; none where nothing was repaired, or a fault is accused all the same.
    pub fn since_repair(&self) -> Option<SinceRepair<'_>> {
        let proof = self.proof.as_ref()?;
        let accused = self.accused();
        let settled = accused.is_some_and(|top| self.with_its_group(top) >= SETTLED);
        proof.since_repair(accused.is_some(), settled)
    }

    /// No answer: something stands in its way.
    pub fn unanswered(problems: Vec<Problem>) -> Self {
        Self {
            problems,
            suspects: Vec::new(),
            groups: Vec::new(),
            combinations: Vec::new(),
            healthy: 0.5,
            unexplained: 0.5,
            fit: Fit {
                tail: 0.5,
                chi_squared: 0.0,
                readings: 0,
            },
            readings: Vec::new(),
            points: Vec::new(),
            densities: Vec::new(),
            resistance: Vec::new(),
            supplies: Vec::new(),
            modules: Vec::new(),
            proof: None,
            next: Advice::default(),
        }
    }
}
