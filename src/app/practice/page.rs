//! The page of a trainee and of a group, to print: the report's own writers put it on paper.

use std::path::Path;

use super::{files::name_of, state::Trainee};
use crate::{
    app::words,
    explain::names,
    practice::{Done, Drill, Record},
    quantity::format::clock,
    report::{
        Basis, Block, Report, Section,
        content::{Column, Row, Tone},
    },
};

fn foot() -> String {
    format!("Practice record · Pinchpoint {}", env!("CARGO_PKG_VERSION"))
}

fn tone(done: &Done) -> Tone {
    match (done.found, done.proven) {
        (true, true) => Tone::Plain,
        (true, false) => Tone::Careful,
        (false, _) => Tone::Bad,
    }
}

fn skills(record: &Record) -> Option<Block> {
    let rows = record.skills().into_iter().map(|skill| {
        Row::plain([
            skill.drill.name().to_owned(),
            skill.times.to_string(),
            format!("{:.0}", skill.at_first),
            format!("{:.0}", skill.score),
            format!("{}, {}", skill.next.number(), skill.next.name()),
        ])
    });
    Block::table(
        Basis::Measured,
        vec![
            Column::words("Skill", 3.0),
            Column::figures("Times", 0.8),
            Column::figures("At first", 1.0),
            Column::figures("Lately", 1.0),
            Column::words("Next level", 1.4),
        ],
        rows.collect(),
    )
}

fn done(record: &Record) -> Option<Block> {
    let rows = record.done.iter().map(|done| {
        let level = done
            .level
            .map_or(String::new(), |l| format!(", level {}", l.number()));
        Row::plain([
            done.day.clone(),
            format!("{}{level}, seed {}", done.title, done.seed),
            clock(done.minutes),
            clock(done.par_minutes),
            done.tests.to_string(),
            done.end().to_owned(),
            done.score.to_string(),
        ])
        .toned(tone(done))
    });
    Block::table(
        Basis::Measured,
        vec![
            Column::words("Day", 1.2),
            Column::words("Exercise", 3.4),
            Column::figures("Took", 0.9),
            Column::figures("Advice", 0.9),
            Column::figures("Readings", 1.0),
            Column::words("End", 1.6),
            Column::figures("Score", 0.8),
        ],
        rows.collect(),
    )
}

/// The page of one trainee: by skill, then every exercise.
pub fn trainee_page(record: &Record, path: &Path) -> Report {
    let section = |heading: &str, blocks: Vec<Block>| Section {
        heading: heading.to_owned(),
        blocks,
    };
    let shown = |table: Option<Block>| {
        table.unwrap_or_else(|| Block::Text {
            basis: None,
            text: "Nothing was handed over yet.".to_owned(),
        })
    };
    let last = record.done.last().map(|last| Block::Text {
        basis: Some(Basis::Measured),
        text: last.certificate(&record.name),
    });
    Report {
        title: format!("Practice record of {}", name_of(record, path)),
        vehicle: String::new(),
        foot: foot(),
        sections: vec![
            section(
                "By skill",
                std::iter::once(shown(skills(record))).chain(last).collect(),
            ),
            section("Every exercise", vec![shown(done(record))]),
        ],
    }
}

/// The page of a group: where everybody stands.
pub fn group_page(trainees: &[Trainee]) -> Report {
    let rows = trainees.iter().filter_map(|trainee| {
        let record = trainee.record.as_ref().ok()?;
        let found = record.done.iter().filter(|done| done.found).count();
        let skills = record.skills();
        let weakest = skills.iter().min_by(|a, b| a.score.total_cmp(&b.score));
        Some(Row::plain([
            name_of(record, &trainee.path).into_owned(),
            record.done.len().to_string(),
            found.to_string(),
            format!("{} of 8", skills.len()),
            format!("{:.0}", record.lately()),
            weakest.map_or(String::new(), |skill| skill.drill.name().to_owned()),
            record
                .done
                .last()
                .map_or(String::new(), |last| last.day.clone()),
        ]))
    });
    let table = Block::table(
        Basis::Measured,
        vec![
            Column::words("Trainee", 2.0),
            Column::figures("Exercises", 1.1),
            Column::figures("Found", 0.8),
            Column::words("Skills", 0.9),
            Column::figures("Lately", 0.9),
            Column::words("Weakest skill", 2.4),
            Column::words("Last day", 1.2),
        ],
        rows.collect(),
    );
    Report {
        title: "Practice of the group".to_owned(),
        vehicle: String::new(),
        foot: foot(),
        sections: vec![
            Section {
                heading: "Where everybody stands".to_owned(),
                blocks: table.into_iter().chain(unread(trainees)).collect(),
            },
            Section {
                heading: "Score of late, by skill".to_owned(),
                blocks: by_skill(trainees).into_iter().collect(),
            },
        ],
    }
}

/// Everybody against every skill; a skill that somebody never tried is left empty.
fn by_skill(trainees: &[Trainee]) -> Option<Block> {
    let mut columns = vec![Column::words("Trainee", 2.0)];
    columns.extend(Drill::ALL.map(|drill| Column::figures(drill.key(), 1.1)));
    let rows = trainees.iter().filter_map(|trainee| {
        let record = trainee.record.as_ref().ok()?;
        let skills = record.skills();
        let lately = |drill: Drill| {
            let skill = skills.iter().find(|skill| skill.drill == drill);
            skill.map_or(String::new(), |skill| format!("{:.0}", skill.score))
        };
        let cells: [String; 1 + Drill::ALL.len()] = std::array::from_fn(|at| match at {
            0 => name_of(record, &trainee.path).into_owned(),
            at => lately(Drill::ALL[at - 1]),
        });
        Some(Row::plain(cells))
    });
    Block::table(Basis::Measured, columns, rows.collect())
}

/// Files that should be somebody's record and cannot be read.
fn unread(trainees: &[Trainee]) -> Option<Block> {
    let files: Vec<String> = (trainees.iter())
        .filter(|trainee| trainee.record.is_err())
        .map(|trainee| words::file(&trainee.path))
        .collect();
    (!files.is_empty()).then(|| Block::Text {
        basis: None,
        text: format!("Cannot be read: {}.", names::list(&files, "and")),
    })
}
