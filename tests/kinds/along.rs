//! An open in a long chain, read all along it: what reads before the break is not what reads behind it, so the places of
//! one chain are told apart however many readings there are. Volts by the simulated vehicle; the bound is that of the
//! readings, which leave one wire and its joints (calculated).

use pinchpoint::{
    fault::{FaultKind, Site},
    practice::Hidden,
    reading::State,
};

use super::{
    circuits::chain,
    shared::{answer, chance, log, volts_at, world},
};

#[test]
fn an_open_is_found_wherever_it_is_in_a_chain_that_was_read_all_along() {
    let circuit = chain(12, 1.0);
    for open in [2, 7, 11] {
        let fault = Hidden::new(Site::part(format!("W{open}")), FaultKind::Open, 1.0);
        let mut world = world(&circuit, fault);
        let at: Vec<String> = (1..12).map(|joint| format!("SP{joint}")).collect();
        let now = State::default();
        let log = log(at.iter().map(|at| volts_at(&mut world, at, &now)));
        let findings = answer(&circuit, &log);
        let there = chance(&findings, |site, kind| {
            site.part == format!("W{open}")
                && matches!(kind, FaultKind::Open | FaultKind::HighResistance)
        });
        assert!(there > 0.9, "W{open}: {there} of {:?}", findings.suspects);
    }
}
