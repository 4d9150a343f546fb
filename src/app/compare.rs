//! Other states whose volts can stand beside those of now.

use crate::{
    notebook::Job,
    reading::{Entry, State},
};

/// States in which something was read, everything plugged first, without the present one; each once.
pub fn states_to_compare(job: &Job) -> Vec<State> {
    let mut states: Vec<State> = vec![State::default()];
    for entry in &job.log {
        if let Entry::Reading(reading) = entry
            && !reading.set_aside
            && !reading.state.supply_off
        {
            let state = State {
                key_cycled: None,
                ..reading.state.clone()
            };
            if !states.iter().any(|known| known.stands_alike(&state)) {
                states.push(state);
            }
        }
    }
    states.retain(|state| !state.stands_alike(&job.now));
    states
}
