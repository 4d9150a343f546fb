//! A new feed from three answers.

use egui::{Id, Key, Ui};

use super::Dialog;
use crate::{
    app::{FileCommand, Model, NotebookCommand, command::Leave, sketch::NOMINALS},
    circuit::{quick::MOST_SENSORS, quick_feed},
    notebook::Job,
    quantity::{Unit, format::as_read, typed_number, units::volts},
    ui::{
        act::Act,
        kit::{
            Field, Tone, begin_here, button_ui, choice_ui, choose_all, field_ui, label_ui, line_ui,
            notice_ui, shortened, text_ui, tick_ui,
        },
        notebook::from,
        theme::Theme,
    },
};

/// The question and its answers.
pub fn quick_start_ui(
    ui: &mut Ui,
    theme: &Theme,
    model: &Model,
    dialog: &mut Dialog,
    acts: &mut Vec<Act>,
) {
    let Dialog::QuickStart {
        nominal,
        other,
        sensors,
        names,
        inline,
        returns,
    } = dialog
    else {
        return;
    };
    let c = &theme.colour;
    text_ui(ui, "A new feed", theme.title(), c.ink);
    volts_ui(ui, theme, nominal, other);
    sensors_ui(ui, theme, sensors, names);
    let connector = "Inline connector between module and sensors";
    if tick_ui(ui, theme, connector, *inline).clicked() {
        *inline = !*inline;
    }
    let wire = "Each sensor has its return wire to the module";
    if tick_ui(ui, theme, wire, *returns).clicked() {
        *returns = !*returns;
    }
    let named = named(names);
    let answers = quick_answers(*nominal, other, sensors, named.len());
    match &answers {
        Err(trouble) => notice_ui(ui, theme, trouble, ""),
        Ok((_, count)) => {
            let (text, more) = drawn(*count, sensors, named.len());
            let ink = if more { c.attention_text } else { c.ink };
            text_ui(ui, &text, theme.strong(), ink);
        }
    }
    if end_ui(ui, theme, answers.is_ok(), acts)
        && let Ok((nominal, count)) = answers
    {
        let mut circuit = quick_feed(volts(nominal), count, *inline, *returns);
        for (load, name) in circuit.loads.iter_mut().zip(named) {
            load.name = name;
        }
        let job = Job {
            title: "New feed".to_owned(),
            circuit,
            ..Job::default()
        };
        acts.push(Act::Close);
        acts.push(FileCommand::Leave(Leave::Start(Box::new(job))).into());
    }
    let guesses = "Lengths, sizes and draws are plausible guesses: correct them on the drawing as you learn them.";
    text_ui(ui, guesses, theme.label(), c.muted);
    earlier_ui(ui, theme, model, acts);
}

/// The nominal volts: one of the usual ones, or any other.
fn volts_ui(ui: &mut Ui, theme: &Theme, nominal: &mut usize, other: &mut String) {
    label_ui(ui, "Nominal volts", theme.label(), theme.colour.muted);
    let mut texts: Vec<String> = NOMINALS.iter().map(|v| as_read(*v, Unit::Volts)).collect();
    texts.push("other".to_owned());
    let options: Vec<(&str, &str)> = texts.iter().map(|t| (t.as_str(), t.as_str())).collect();
    if let Some(index) = choice_ui(ui, theme, &options, *nominal) {
        *nominal = index;
    }
    if *nominal == NOMINALS.len() {
        let field = Field {
            name: "Other nominal volts",
            unit: "V",
            width: 180.0,
            ..Field::default()
        };
        field_ui(ui, theme, other, &field);
    }
}

/// How many sensors, which is typed over at once, and what they are called.
fn sensors_ui(ui: &mut Ui, theme: &Theme, sensors: &mut String, names: &mut String) {
    let field = Field {
        name: "How many sensors",
        width: 180.0,
        id: Some(Id::unique("how many sensors")),
        ..Field::default()
    };
    let response = field_ui(ui, theme, sensors, &field);
    if begin_here(ui, &response) {
        choose_all(ui, &response, sensors);
    }
    let field = Field {
        name: "Their names (may stay empty)",
        hint: "intake pressure, oil pressure, …",
        ..Field::default()
    };
    field_ui(ui, theme, names, &field);
}

/// The buttons at the end; answers whether it is to be drawn.
fn end_ui(ui: &mut Ui, theme: &Theme, ready: bool, acts: &mut Vec<Act>) -> bool {
    let row = ui.horizontal(|ui| {
        let draw = |ui: &mut Ui| button_ui(ui, theme, Tone::Primary, "Draw it", None);
        let pressed = ui.add_enabled_ui(ready, draw).inner.clicked();
        if button_ui(ui, theme, Tone::Plain, "Cancel", None).clicked() {
            acts.push(Act::Close);
        }
        pressed || ready && ui.input(|input| input.key_pressed(Key::Enter))
    });
    row.inner
}

/// Circuits of earlier jobs to begin on instead, each with what past jobs on that vehicle have taught.
fn earlier_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    let book = &model.notebook;
    if book.folder.is_some() && !book.asked {
        acts.push(NotebookCommand::Look.into());
    }
    let Some((listing, shelf)) = book.listing.as_ref().zip(book.shelf()) else {
        return;
    };
    if listing.earlier.is_empty() {
        return;
    }
    let c = &theme.colour;
    ui.separator();
    label_ui(
        ui,
        "Or on the circuit of an earlier job",
        theme.heading(),
        c.ink,
    );
    for earlier in listing.earlier.iter() {
        let Some(card) = shelf.cards.get(earlier.card) else {
            continue;
        };
        ui.horizontal(|ui| {
            let name = format!("Begin on the circuit of {}", card.vehicle);
            let text = shortened(&card.vehicle, 32);
            if button_ui(ui, theme, Tone::Plain, &text, Some(&name)).clicked()
                && let Some(file) = book.file_of(&card.path)
            {
                acts.push(Act::Close);
                acts.push(FileCommand::Leave(Leave::Begin(file)).into());
            }
            let minutes = match earlier.connectors {
                0 => String::new(),
                1 => ", minutes to 1 connector learnt".to_owned(),
                more => format!(", minutes to {more} connectors learnt"),
            };
            line_ui(
                ui,
                &format!("{}{minutes}", from(earlier.jobs)),
                theme.body(),
                c.muted,
            );
        });
    }
}

/// The names with commas in between.
fn named(text: &str) -> Vec<String> {
    let names = text
        .split([',', ';'])
        .map(|name| name.trim().chars().take(60).collect());
    names.filter(|name: &String| !name.is_empty()).collect()
}

/// Volts and count, or what to type instead.
fn quick_answers(
    nominal: usize,
    other: &str,
    sensors: &str,
    named: usize,
) -> Result<(f64, u8), String> {
    let nominal = match NOMINALS.get(nominal) {
        Some(volts) => *volts,
        None => typed_number(other, Unit::Volts).map_err(|error| error.to_string())?,
    };
    if !(0.5..=60.0).contains(&nominal) {
        return Err("A sensor feed has 0.5 to 60 V: type its nominal volts, e.g. 8".to_owned());
    }
    if named > usize::from(MOST_SENSORS) {
        return Err(format!(
            "At most {MOST_SENSORS} sensors: take some names out"
        ));
    }
    match sensors.trim().parse::<u8>() {
        // As many sensors as have a name, if that is more.
        Ok(count) if (1..=MOST_SENSORS).contains(&count) && named > usize::from(count) => {
            Ok((nominal, u8::try_from(named).unwrap_or(MOST_SENSORS)))
        }
        Ok(count) if (1..=MOST_SENSORS).contains(&count) => Ok((nominal, count)),
        _ => Err(format!(
            "Type a whole number of sensors from 1 to {MOST_SENSORS}"
        )),
    }
}

/// How many sensors will be drawn, and whether that is more than was asked for.
fn drawn(count: u8, asked: &str, named: usize) -> (String, bool) {
    let sensors = match count {
        1 => "1 sensor".to_owned(),
        count => format!("{count} sensors"),
    };
    let more = asked.trim().parse::<u8>().is_ok_and(|asked| asked < count);
    let text = if more {
        format!(
            "Draws {sensors}, one for each name, and not {}.",
            asked.trim()
        )
    } else if named == 0 {
        format!("Draws {sensors} without names.")
    } else if named == usize::from(count) {
        format!("Draws {sensors}, each with its name.")
    } else {
        format!("Draws {sensors}, the first {named} with names.")
    };
    (text, more)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn more_names_than_sensors_are_told_before_they_are_drawn() {
        let (text, more) = drawn(7, "6", 7);
        assert!(more && text == "Draws 7 sensors, one for each name, and not 6.");
        let (text, more) = drawn(6, " 6 ", 2);
        assert!(!more && text == "Draws 6 sensors, the first 2 with names.");
        assert_eq!(drawn(1, "1", 0).0, "Draws 1 sensor without names.");
        // A number written with a leading nought is the same number.
        assert!(!drawn(6, "06", 0).1);
    }

    #[test]
    fn quick_answers_say_what_to_type() {
        assert_eq!(quick_answers(1, "", "6", 0), Ok((8.0, 6)));
        assert_eq!(quick_answers(4, "3V3", "40", 2), Ok((3.3, 40)));
        for (nominal, other, sensors) in [
            (0, "", "0"),
            (0, "", "41"),
            (0, "", "six"),
            (4, "", "6"),
            (4, "600", "6"),
        ] {
            assert!(
                quick_answers(nominal, other, sensors, 0).is_err(),
                "{other:?} {sensors:?}"
            );
        }
    }
}
