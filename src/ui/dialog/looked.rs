//! A place that was looked at, and where nothing was found: which part, which piece of a wire.

use egui::Ui;

use crate::{
    advise::Opening,
    app::{Log, Model},
    circuit::{Circuit, Wire},
    diagnosis::Suspect,
    explain::names,
    fault::FaultKind,
    quantity::{Unit, typed_number},
    reading::Inspection,
    ui::{
        act::Act,
        kit::{Field, Tone, button_ui, choice_ui, field_ui, notice_ui, text_ui, tick_ui},
        theme::Theme,
    },
};

/// A look as it is being noted.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LookDraft {
    part: String,
    pin: String,
    from: String,
    to: String,
    /// Whether the metres are counted from the end farther from the module.
    far: bool,
    undrawn: bool,
    note: String,
}

impl LookDraft {
    /// A look at a part, all of it.
    pub fn at(part: &str) -> Self {
        Self {
            part: part.to_owned(),
            ..Self::default()
        }
    }

    /// A look at where a suspect most likely is.
    pub fn of_suspect(suspect: &Suspect) -> Self {
        let position = suspect.position.as_ref();
        let metres = position.map(|position| (position.metres.low, position.metres.high));
        Self::of(Inspection::of(&suspect.site, suspect.kind, metres))
    }

    /// A look at a place that was to be opened.
    pub fn of_opening(place: &Opening) -> Self {
        Self::of(Inspection::of(&place.site, place.kind, place.metres))
    }

    fn of(look: Inspection) -> Self {
        let metres = |metres: f64| format!("{metres:.2}");
        Self {
            part: look.part,
            pin: look.pin.map_or_else(String::new, |pin| pin.to_string()),
            from: look.metres.map_or_else(String::new, |m| metres(m.0)),
            to: look.metres.map_or_else(String::new, |m| metres(m.1)),
            undrawn: look.undrawn,
            ..Self::default()
        }
    }

    /// The look, or what is wrong with what was typed.
    fn look(&self, circuit: &Circuit) -> Result<Inspection, String> {
        let typed = self.part.trim();
        let known =
            (circuit.ids().chain(bundles(circuit))).find(|id| id.eq_ignore_ascii_case(typed));
        let part = known.unwrap_or(typed).to_owned();
        let pin = match self.pin.trim() {
            "" => None,
            text => Some(
                text.parse()
                    .map_err(|_| format!("“{text}” is no number of a pin"))?,
            ),
        };
        let metres = |text: &str| {
            typed_number(text, Unit::Metres).map_err(|trouble| format!("{text}: {trouble}"))
        };
        let wire = self.wire(circuit);
        let metres = match (self.from.trim(), self.to.trim(), wire) {
            ("", "", _) | (_, _, None) => None,
            (from, to, Some(wire)) => {
                let length = wire.length_or_assumed();
                let from = if from.is_empty() { 0.0 } else { metres(from)? };
                let to = if to.is_empty() { length } else { metres(to)? };
                Some(if self.far {
                    (length - to, length - from)
                } else {
                    (from, to)
                })
            }
        };
        let look = Inspection {
            part,
            pin,
            metres,
            undrawn: self.undrawn,
            note: self.note.trim().to_owned(),
            ..Inspection::default()
        };
        match look.trouble(circuit) {
            Some((what, remedy)) => Err(format!("{what}: {remedy}")),
            None => Ok(look),
        }
    }

    fn wire<'c>(&self, circuit: &'c Circuit) -> Option<&'c Wire> {
        let typed = self.part.trim();
        let mut wires = circuit.wires.iter();
        wires.find(|wire| wire.id.eq_ignore_ascii_case(typed))
    }
}

fn bundles(circuit: &Circuit) -> impl Iterator<Item = &str> {
    let bundles = circuit.wires.iter().map(|wire| wire.bundle.as_str());
    bundles.filter(|bundle| !bundle.is_empty())
}

/// What “nothing found” logs at once for members that were looked for and are not drawn.
pub fn none_found(part: &str) -> Act {
    let site = crate::fault::Site::part(part);
    Log::MarkLooked(Inspection::of(&site, FaultKind::UndrawnShort, None)).into()
}

/// The question.
pub fn looked_ui(
    ui: &mut Ui,
    theme: &Theme,
    model: &Model,
    draft: &mut LookDraft,
    acts: &mut Vec<Act>,
) {
    let c = &theme.colour;
    let circuit = &model.job.circuit;
    text_ui(ui, "Looked at, nothing found", theme.title(), c.ink);
    let hint = "It counts in the answer as often as such a look would see a fault there; nothing is ruled out.";
    text_ui(ui, hint, theme.label(), c.muted);
    let field = Field {
        name: "Part, wire or bundle that was looked at",
        hint: "e.g. W7",
        width: 240.0,
        ..Field::default()
    };
    field_ui(ui, theme, &mut draft.part, &field);
    if let Some(wire) = draft.wire(circuit) {
        let ends = [names::end(&wire.from), names::end(&wire.to)];
        ui.horizontal(|ui| {
            for (name, text) in [
                ("From, metres", &mut draft.from),
                ("To, metres", &mut draft.to),
            ] {
                let field = Field {
                    name,
                    hint: "all of it",
                    unit: "m",
                    width: 150.0,
                    ..Field::default()
                };
                field_ui(ui, theme, text, &field);
            }
        });
        let names = ends.each_ref().map(|end| format!("Metres from {end}"));
        let choices = [
            (names[0].as_str(), names[0].as_str()),
            (names[1].as_str(), names[1].as_str()),
        ];
        if let Some(index) = choice_ui(ui, theme, &choices, usize::from(draft.far)) {
            draft.far = index == 1;
        }
    } else if (circuit.connectors.iter()).any(|c| c.id.eq_ignore_ascii_case(draft.part.trim())) {
        let field = Field {
            name: "Pin",
            hint: "all",
            width: 150.0,
            ..Field::default()
        };
        field_ui(ui, theme, &mut draft.pin, &field);
    }
    let text = "Members were looked for there that are not drawn";
    if tick_ui(ui, theme, text, draft.undrawn).clicked() {
        draft.undrawn = !draft.undrawn;
    }
    let field = Field {
        name: "Note of the look",
        ..Field::default()
    };
    field_ui(ui, theme, &mut draft.note, &field);
    let look = draft.look(circuit);
    if let Err(trouble) = look.as_ref().map_err(String::as_str)
        && !draft.part.trim().is_empty()
    {
        notice_ui(ui, theme, trouble, "");
    }
    ui.horizontal(|ui| {
        let button = ui.add_enabled_ui(look.is_ok(), |ui| {
            button_ui(ui, theme, Tone::Primary, "Note it", None).clicked()
        });
        if let (true, Ok(look)) = (button.inner, look) {
            acts.push(Log::MarkLooked(look).into());
            acts.push(Act::Close);
        }
        if button_ui(ui, theme, Tone::Plain, "Cancel", None).clicked() {
            acts.push(Act::Close);
        }
    });
}
