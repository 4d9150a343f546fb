//! What a notebook remembers of a job: enough to list it, to find it, and to learn from it.

use serde::{Deserialize, Serialize};

use super::words::words;
use crate::{
    circuit::PartRef,
    notebook::{
        Job,
        record::day::{self, Day},
    },
    reading::{Entry, Kind, Value},
};

/// Where a word stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Field {
    /// Title, request, notes, what was found and done.
    Text,
    /// Vehicle, plate, identification number.
    Vehicle,
    /// Shop and people.
    Shop,
    /// Trouble codes.
    Code,
    /// Wire colours.
    Colour,
    /// Circuit numbers.
    Number,
    /// Designations, names and places of parts.
    Part,
}

impl Field {
    /// The field that a question names.
    pub fn named(name: &str) -> Option<Self> {
        Some(match name {
            "text" => Self::Text,
            "vehicle" => Self::Vehicle,
            "shop" => Self::Shop,
            "code" => Self::Code,
            "colour" => Self::Colour,
            "number" => Self::Number,
            "part" => Self::Part,
            _ => return None,
        })
    }
}

/// A job in the list.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Card {
    /// The file, from the notebook's folder, with `/` between folders.
    pub path: String,
    /// Title.
    pub title: String,
    /// Vehicle.
    pub vehicle: String,
    /// Shop.
    pub shop: String,
    /// Day, as written.
    pub date: String,
    /// The day that it is, to sort by; none where it cannot be told.
    pub day: Option<Day>,
    /// Lines of the log.
    pub lines: usize,
    /// Whether something was repaired.
    pub repaired: bool,
    /// Whether it is signed.
    pub signed: bool,
    /// Whether something is unplugged.
    pub unplugged: bool,
    /// Its words, for each field each once, with spaces between them: one text takes a tenth of the room of a hundred.
    pub words: Vec<(Field, String)>,
    /// Minutes that it took to reach connectors.
    pub reached: Vec<(String, f64)>,
    /// Volts with everything plugged after the last repair of a signed job: what was right in the end.
    pub right: Vec<(String, f64)>,
}

impl Card {
    /// The card of a job.
    pub fn of(path: String, job: &Job) -> Self {
        let mut card = Self {
            path,
            title: job.title.clone(),
            vehicle: job.vehicle.clone(),
            shop: job.shop.clone(),
            date: job.record.date.clone(),
            day: day::read(&job.record.date).sorted_by(),
            lines: job.log.len(),
            repaired: job.log.iter().any(|e| matches!(e, Entry::Repair(_))),
            signed: job.record.is_signed(),
            unplugged: !job.now.unplugged.is_empty(),
            words: Vec::new(),
            reached: Vec::new(),
            right: Vec::new(),
        };
        card.note_words(job);
        card.join_words();
        for work in &job.record.work {
            if !work.reached.is_empty() && work.minutes_worth() > 0.0 {
                card.reached
                    .push((work.reached.clone(), work.minutes_worth()));
            }
        }
        if card.signed {
            card.right = right(job);
        }
        card
    }

    fn join_words(&mut self) {
        let mut words = std::mem::take(&mut self.words);
        words.sort();
        words.dedup();
        for (field, word) in words {
            match self.words.last_mut() {
                Some((last, text)) if *last == field => {
                    text.push(' ');
                    text.push_str(&word);
                }
                _ => self.words.push((field, word)),
            }
        }
        for (_, text) in &mut self.words {
            text.shrink_to_fit();
        }
        self.words.shrink_to_fit();
    }

    fn add(&mut self, field: Field, text: &str) {
        self.words
            .extend(words(text).into_iter().map(|word| (field, word)));
    }

    fn note_words(&mut self, job: &Job) {
        let record = &job.record;
        for text in [
            &job.title,
            &job.request,
            &job.notes,
            &record.arrival,
            &record.cause,
            &record.correction,
            &record.remains,
            &record.date,
        ] {
            self.add(Field::Text, text);
        }
        for text in [
            &job.vehicle,
            &record.vehicle.plate,
            &record.vehicle.identification,
        ] {
            self.add(Field::Vehicle, text);
        }
        for text in [&job.shop, &record.technician, &record.sign_off.by] {
            self.add(Field::Shop, text);
        }
        for code in &record.codes {
            self.add(Field::Code, &code.code);
            self.add(Field::Text, &code.text);
            self.add(Field::Text, &code.module);
        }
        for module in &record.modules {
            self.add(Field::Text, &module.module);
        }
        for part in &record.parts {
            self.add(Field::Text, &part.name);
            self.add(Field::Text, &part.number);
        }
        for work in &record.work {
            self.add(Field::Text, &work.what);
            self.add(Field::Shop, &work.by);
        }
        for work in &record.follow_up {
            self.add(Field::Text, work.kind.words());
            self.add(Field::Text, &work.what);
            self.add(Field::Text, &work.followed);
            self.add(Field::Shop, &work.by);
            for source in &work.sources {
                self.add(Field::Text, &source.source);
                self.add(Field::Text, &source.says);
            }
        }
        for check in &record.checks {
            self.add(Field::Text, &check.what);
            self.add(Field::Text, &check.note);
        }
        for attachment in &record.attachments {
            self.add(Field::Text, &attachment.caption);
            self.add(Field::Text, &attachment.name);
        }
        self.add(Field::Text, &record.sign_off.note);
        for added in &record.amendments {
            self.add(Field::Text, &added.text);
            self.add(Field::Shop, &added.by);
        }
        for entry in &job.log {
            match entry {
                Entry::Reading(reading) => self.add(Field::Text, &reading.note),
                Entry::Repair(repair) => self.add(Field::Text, &repair.note),
                Entry::Inspection(look) => self.add(Field::Text, &look.note),
            }
        }
        for wire in &job.circuit.wires {
            if let Some(colour) = wire.colour {
                self.add(Field::Colour, &colour.to_string());
            }
            self.add(Field::Number, &wire.circuit_number);
            self.add(Field::Part, &wire.bundle);
        }
        for zone in &job.circuit.damage_zones {
            self.add(Field::Text, &zone.note);
        }
        let parts: Vec<PartRef<'_>> = job.circuit.parts().collect();
        for part in parts {
            self.add(Field::Part, part.id());
            self.add(Field::Part, part.name());
            self.add(Field::Part, part.place());
        }
    }
}

/// Readings of volts with everything plugged after the last repair.
fn right(job: &Job) -> Vec<(String, f64)> {
    let last = job.log.iter().rposition(|e| matches!(e, Entry::Repair(_)));
    let Some(last) = last else { return Vec::new() };
    job.log[last + 1..]
        .iter()
        .filter_map(|entry| match entry {
            Entry::Reading(reading)
                if reading.kind == Kind::Volts
                    && reading.black.is_battery_negative()
                    && !reading.set_aside
                    && reading
                        .state
                        .stands_alike(&crate::reading::State::default()) =>
            {
                match reading.value {
                    Value::Exactly(volts) if volts.is_finite() => {
                        Some((reading.red.to_string(), volts))
                    }
                    _ => None,
                }
            }
            _ => None,
        })
        .collect()
}
