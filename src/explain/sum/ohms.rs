//! What an ohmmeter sees with the supply off: the fault beside, or in line with, the sound circuit.

use super::{
    Story,
    figures::{OPEN, difference, three, total},
    of_ohms,
};
use crate::{
    infer::solve::Effect,
    quantity::{Unit, units::as_ohms},
};

/// A sound circuit of so many times the ohms of the fault hides nothing of it.
const MUCH_LARGER: f64 = 200.0;
/// Share of the fault's ohms from which the way to it gets a line.
const WAY: f64 = 0.01;

impl Story<'_> {
    pub(super) fn tell_ohms(&mut self) {
        let Some((_, reading)) = self.reading else {
            return;
        };
        let between = |with_own| {
            self.scene
                .ohms_between(&reading.red, &reading.black, with_own)
        };
        let (Some(with), Some(sound)) = (between(true), between(false)) else {
            return;
        };
        let lead = as_ohms(self.question.meter.lead);
        let sound_text = if sound > OPEN {
            "nothing joins the two points (OL)".to_owned()
        } else {
            format!("{} joins the two points", three(of_ohms(sound)))
        };
        let there = self.suspect.is_some() && self.scene.is_there();
        if there {
            self.say(format!("Without the fault {sound_text}."));
        } else {
            self.say(format!("In a sound circuit {sound_text}."));
        }
        if with > OPEN {
            if there {
                self.say("With it nothing does: the meter shows OL.");
            }
            return;
        }
        if !there {
            if lead > 0.0 {
                self.sum("With the leads: ", total(sound, lead, Unit::Ohms), ".");
            }
            return;
        }
        if lead > 0.0 {
            self.sum(
                &format!(
                    "The leads are {} of what the meter shows: ",
                    three(of_ohms(lead))
                ),
                difference(with + lead, lead, Unit::Ohms),
                " between the points.",
            );
        }
        let Some(fault) = self.scene.own().copied() else {
            return;
        };
        match fault.effect {
            Effect::Shunt { .. } => self.beside(with, sound, fault.log_size.exp()),
            Effect::Series(_) => {
                if sound > OPEN {
                    self.say("The fault is not between these points.");
                    return;
                }
                self.sum("", difference(with, sound, Unit::Ohms), " more than sound.");
            }
            Effect::Cut(_) if (with - sound).abs() > WAY * sound => {
                self.sum("", difference(with, sound, Unit::Ohms), " more than sound.");
            }
            Effect::Cut(_) | Effect::Weak(_) | Effect::Dead(_) | Effect::Early(_) => {
                self.say("It does not show in this reading.");
            }
        }
    }

    /// A short beside the sound circuit.
    fn beside(&mut self, with: f64, sound: f64, fault: f64) {
        if with > 0.999 * sound {
            self.say("It does not show in this reading.");
            return;
        }
        let mut branch = with;
        if sound < MUCH_LARGER * with {
            branch = with * sound / (sound - with);
            self.say(format!(
                "{} beside the sound circuit make that: {} × {} ÷ {} = {}.",
                three(of_ohms(branch)),
                three(of_ohms(sound)),
                three(of_ohms(with)),
                three(of_ohms(sound - with)),
                three(of_ohms(branch))
            ));
        }
        let way = branch - fault;
        if way > WAY * fault {
            self.sum(
                &format!("The way to the fault is {} of it: ", three(of_ohms(way))),
                difference(branch, way, Unit::Ohms),
                &format!(" {}.", self.towards()),
            );
        } else {
            self.say(format!(
                "That is the fault: {} {}.",
                three(of_ohms(fault)),
                self.towards()
            ));
        }
    }
}
