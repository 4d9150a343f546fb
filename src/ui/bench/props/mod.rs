//! What is noted of the chosen part, to be corrected as it is learned; what can be drawn on from it; taking it away.

mod damage;
mod fields;
mod group;
mod learnt;
mod load;
mod supply;
mod wiring;

use egui::Ui;

use self::fields::Row;
use crate::{
    app::{Bench, Log, Model, PartData, Screen, Sketch},
    circuit::{
        Point, Terminal,
        edit::{Addition, Inline},
        point::is_designation,
    },
    explain::names,
    ui::{
        act::Act,
        dialog::{Dialog, LookDraft},
        kit::{Tone, button_ui, card_ui, label_ui},
        theme::Theme,
        words,
    },
};

/// The card; nothing where no part is chosen.
pub fn props_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    if !model.selection.many.is_empty() {
        group::group_ui(ui, theme, model, acts);
        return;
    }
    let Some(id) = model.selection.part.as_deref() else {
        return;
    };
    let Some(part) = PartData::of(&model.job.circuit, id) else {
        return;
    };
    let title = format!("{id} {}", class(&part));
    card_ui(ui, theme, &title, beside(model, &part).as_str(), |ui| {
        let mut row = Row::new(id);
        ui.horizontal_wrapped(|ui| {
            let taken = |text: &str| {
                let text = text.trim();
                if is_designation(text) {
                    Ok(text.to_owned())
                } else {
                    Err("Letters, digits, - and _, starting with a letter, at most 24".to_owned())
                }
            };
            if let Some(new) = row.kept_ui(ui, theme, "Designation", "", id, taken) {
                let old = id.to_owned();
                acts.push(
                    Sketch::Rename {
                        old,
                        new,
                        called: None,
                    }
                    .into(),
                );
            }
            let edited = match part.clone() {
                PartData::Supply(part) => {
                    supply::supply_ui(ui, theme, &mut row, part).map(PartData::Supply)
                }
                PartData::Wire(part) => {
                    wiring::wire_ui(ui, theme, &mut row, part).map(PartData::Wire)
                }
                PartData::Connector(part) => {
                    wiring::connector_ui(ui, theme, &mut row, part).map(PartData::Connector)
                }
                PartData::Splice(part) => {
                    wiring::splice_ui(ui, theme, &mut row, part).map(PartData::Splice)
                }
                PartData::Ground(part) => {
                    wiring::ground_ui(ui, theme, &mut row, part).map(PartData::Ground)
                }
                PartData::Fuse(part) => {
                    wiring::fuse_ui(ui, theme, &mut row, part).map(PartData::Fuse)
                }
                PartData::Load(part) => {
                    load::load_ui(ui, theme, &mut row, part).map(PartData::Load)
                }
                PartData::Rail(part) => {
                    load::rail_ui(ui, theme, &mut row, part).map(PartData::Rail)
                }
            };
            if let Some(edited) = edited {
                acts.push(edit(&part, edited));
            }
        });
        if let PartData::Connector(connector) = &part {
            learnt::learnt_ui(ui, theme, model, connector, acts);
        }
        damage::damage_ui(ui, theme, model, id, acts);
        draw_on_ui(ui, theme, &part, acts);
        last_ui(ui, theme, model, id, &part, acts);
    });
}

/// A length goes its own way, so that a drag and typing are told apart from other changes.
fn edit(before: &PartData, edited: PartData) -> Act {
    match (before, edited) {
        (PartData::Wire(before), PartData::Wire(wire)) if before.length != wire.length => {
            let metres = wire.length.map(crate::quantity::units::as_metres);
            Sketch::SetLength(wire.id, metres).into()
        }
        (_, edited) => Sketch::Replace(edited).into(),
    }
}

fn class(part: &PartData) -> &'static str {
    match part {
        PartData::Supply(_) => "module",
        PartData::Wire(_) => "wire",
        PartData::Connector(_) => "connector",
        PartData::Splice(_) => "splice",
        PartData::Ground(_) => "ground point",
        PartData::Fuse(_) => "fuse",
        PartData::Load(_) => "sensor",
        PartData::Rail(_) => "other rail",
    }
}

fn beside(model: &Model, part: &PartData) -> String {
    match part {
        PartData::Wire(wire) => {
            format!("{} to {}", names::point(&wire.from), names::point(&wire.to))
        }
        PartData::Connector(connector) => words::connector_kind(&model.job.circuit, &connector.id),
        _ => String::new(),
    }
}

/// The point from which one draws on behind a part.
pub fn end(part: &PartData) -> Option<Point> {
    match part {
        PartData::Supply(part) => Some(Point::new(&part.id, Terminal::Feed(1))),
        PartData::Wire(part) => Some(part.to.clone()),
        PartData::Connector(part) => Some(Point::new(&part.id, Terminal::Far(1))),
        PartData::Splice(part) => Some(Point::new(&part.id, Terminal::Only)),
        PartData::Fuse(part) => Some(Point::new(&part.id, Terminal::Out)),
        PartData::Load(part) => Some(part.feed.clone()),
        PartData::Ground(_) | PartData::Rail(_) => None,
    }
}

fn draw_on_ui(ui: &mut Ui, theme: &Theme, part: &PartData, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    if let PartData::Wire(wire) = part {
        label_ui(ui, "Put in its middle", theme.label(), c.muted);
        ui.horizontal_wrapped(|ui| {
            for (text, inline) in [
                ("Connector", Inline::Connector),
                ("Splice", Inline::Splice),
                ("Fuse", Inline::Fuse),
            ] {
                let name = format!("Put a {} into {}", text.to_lowercase(), wire.id);
                if button_ui(ui, theme, Tone::Quiet, text, Some(&name)).clicked() {
                    acts.push(Sketch::Insert(wire.id.clone(), 0.5, inline).into());
                }
            }
        });
    }
    let Some(after) = end(part) else {
        return;
    };
    label_ui(ui, "Draw on from here", theme.label(), c.muted);
    ui.horizontal_wrapped(|ui| {
        let sensor = Addition::Sensor {
            plug: true,
            back: None,
        };
        for (text, addition) in [
            ("Sensor", sensor),
            ("Splice", Addition::Splice),
            ("Connector", Addition::Connector),
            ("Fuse", Addition::Fuse),
            ("Ground", Addition::Ground { wire: true }),
        ] {
            let name = format!("Add a {} after {}", text.to_lowercase(), part.id());
            if button_ui(ui, theme, Tone::Quiet, text, Some(&name)).clicked() {
                acts.push(Sketch::Add(after.clone(), addition).into());
            }
        }
        let name = format!("Draw a wire from {after} to a point");
        let wire = button_ui(ui, theme, Tone::Quiet, "Wire to …", Some(&name));
        if wire
            .on_hover_text("Then click the point where it ends")
            .clicked()
        {
            acts.push(Screen::StartWire(Some(after.clone())).into());
        }
        let name = format!("Paste a list of sensors after {after}");
        if button_ui(ui, theme, Tone::Quiet, "List …", Some(&name)).clicked() {
            acts.push(Act::Ask(Dialog::list(after.clone(), String::new())));
        }
    });
}

fn last_ui(
    ui: &mut Ui,
    theme: &Theme,
    model: &Model,
    id: &str,
    part: &PartData,
    acts: &mut Vec<Act>,
) {
    ui.horizontal_wrapped(|ui| {
        if button_ui(ui, theme, Tone::Primary, "Done", Some("Close the part")).clicked() {
            acts.push(Screen::SelectPart(None).into());
        }
        if let PartData::Connector(_) = part {
            let now = &model.job.now;
            let (text, toggled) = if now.unplugged.contains(id) {
                ("Plug", Bench::Plug(id.to_owned()))
            } else {
                ("Unplug", Bench::Unplug(id.to_owned()))
            };
            if button_ui(ui, theme, Tone::Plain, text, Some(&format!("{text} {id}"))).clicked() {
                acts.push(toggled.into());
            }
            if !now.unknown.contains(id) {
                let name = format!("{id} plugged or not is not known");
                if button_ui(ui, theme, Tone::Quiet, "Not known", Some(&name)).clicked() {
                    acts.push(Bench::MarkUnknown(id.to_owned()).into());
                }
            }
            if button_ui(
                ui,
                theme,
                Tone::Quiet,
                "Add a pin",
                Some(&format!("Add a pin to {id}")),
            )
            .clicked()
            {
                acts.push(Sketch::AddPin(id.to_owned()).into());
            }
        }
        for (word, replaced) in [("Repaired", false), ("Replaced", true)] {
            let name = format!("{word}: {id}");
            if button_ui(ui, theme, Tone::Quiet, word, Some(&name)).clicked() {
                let log = Log::MarkRepaired {
                    part: id.to_owned(),
                    replaced,
                    note: String::new(),
                };
                acts.push(log.into());
            }
        }
        let name = format!("Looked at {id}, nothing found");
        if button_ui(ui, theme, Tone::Quiet, "Nothing found", Some(&name)).clicked() {
            acts.push(Act::Ask(Dialog::Looked(LookDraft::at(id))));
        }
        if !matches!(part, PartData::Supply(_)) {
            let name = format!("Copy {id}");
            let copy = button_ui(ui, theme, Tone::Quiet, "Copy", Some(&name));
            if copy
                .on_hover_text("With all that hangs from it (Ctrl+C)")
                .clicked()
            {
                acts.push(Screen::Copy(id.to_owned()).into());
            }
        }
        if let (Some(clip), Some(after)) = (&model.clip, end(part)) {
            let name = format!("Paste {} after {after}", clip.part);
            if button_ui(ui, theme, Tone::Quiet, "Paste", Some(&name)).clicked() {
                acts.push(Sketch::Paste(after, Box::new(clip.clone())).into());
            }
        }
        let barred = model.job.out_of_reach.contains(id);
        let (text, name) = if barred {
            ("Within reach", format!("{id} can be reached"))
        } else {
            ("Out of reach", format!("{id} cannot be reached"))
        };
        if button_ui(ui, theme, Tone::Quiet, text, Some(&name)).clicked() {
            acts.push(Bench::OutOfReach(id.to_owned(), !barred).into());
        }
        let name = format!("Remove {id}");
        if button_ui(ui, theme, Tone::Quiet, "Remove", Some(&name)).clicked() {
            acts.push(Sketch::Remove(id.to_owned()).into());
        }
    });
}
