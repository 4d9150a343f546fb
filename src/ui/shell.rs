//! The window's frame loop: banner, page, and what was asked for carried out after each frame.

use std::collections::BTreeSet;

use eframe::egui::{CentralPanel, Context, Frame, Margin, Panel, Ui};

use super::{
    act::Act,
    bench::{
        harness_ui,
        sheet::{Selected, Sheet},
        view::Chosen,
    },
    boot::Options,
    kit,
    theme::{self, Theme},
};
use crate::{
    app::{
        cut_off,
        layout::{END_ROOM_M, layout},
    },
    notebook::{Job, parse_job},
};

/// The sample that a newcomer finds on the bench.
const FIRST_SAMPLE: &str = include_str!("../../sample_circuits/01-ride-height.ron");

/// The window.
pub struct Shell {
    theme: Theme,
    job: Job,
    selected: Option<Selected>,
    chosen: Chosen,
}

impl Shell {
    /// Opens on a file, or on the first sample.
    pub fn new(ctx: &Context, options: &Options) -> Self {
        let theme = Theme::new(false, false);
        theme::install(ctx, &theme);
        let job = options
            .file
            .as_ref()
            .and_then(|path| crate::notebook::read_job(path).ok())
            .or_else(|| parse_job("sample", FIRST_SAMPLE.as_bytes()).ok())
            .map(|opened| opened.job)
            .unwrap_or_default();
        Self {
            theme,
            job,
            selected: None,
            chosen: Chosen::default(),
        }
    }

    fn carry_out(&mut self, act: Act) {
        match act {
            Act::Select(what) => self.selected = what,
            Act::TogglePlug(id) => {
                if !self.job.now.unplugged.remove(&id) {
                    self.job.now.unplugged.insert(id);
                }
            }
            Act::Look(chosen) => self.chosen = chosen,
            Act::ReadAt(_) => {}
        }
    }
}

impl eframe::App for Shell {
    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        let mut acts = Vec::new();
        let theme = self.theme;
        let c = &theme.colour;
        Panel::top("banner")
            .exact_size(theme.size.banner)
            .show_separator_line(false)
            .frame(
                Frame::new()
                    .fill(c.banner)
                    .inner_margin(Margin::symmetric(20, 0)),
            )
            .show(ui, |ui| {
                ui.horizontal_centered(|ui| {
                    kit::label_ui(ui, &self.job.vehicle, theme.title(), c.banner_ink);
                    kit::line_ui(ui, &self.job.title, theme.body(), c.banner_muted);
                });
            });
        CentralPanel::no_frame()
            .frame(Frame::new().fill(c.desk).inner_margin(Margin::same(14)))
            .show(ui, |ui| {
                let harness = layout(&self.job.circuit, END_ROOM_M);
                let gone = cut_off(&self.job.circuit, &self.job.now.unplugged);
                let sheet = Sheet {
                    circuit: &self.job.circuit,
                    harness: &harness,
                    findings: None,
                    log: &self.job.log,
                    now: &self.job.now,
                    cut_off: &gone as &BTreeSet<_>,
                    selected: self.selected.as_ref(),
                };
                kit::card_ui(
                    ui,
                    &theme,
                    "Harness, to scale",
                    "metres from the module; click a connector to part it, a point to read it",
                    |ui| {
                        harness_ui(ui, &theme, &sheet, &self.chosen, &mut acts);
                    },
                );
            });
        for act in acts {
            self.carry_out(act);
        }
    }
}
