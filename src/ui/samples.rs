//! The worked samples, carried inside the program.

/// Name and text of each sample, the first one being what a newcomer finds on the bench.
pub const SAMPLES: [(&str, &str); 13] = [
    (
        "ride height",
        include_str!("../../sample_circuits/01-ride-height.ron"),
    ),
    (
        "crane boom",
        include_str!("../../sample_circuits/02-crane-boom.ron"),
    ),
    (
        "side rail",
        include_str!("../../sample_circuits/03-side-rail.ron"),
    ),
    (
        "at the limit",
        include_str!("../../sample_circuits/04-at-the-limit.ron"),
    ),
    (
        "good until loaded",
        include_str!("../../sample_circuits/05-good-until-loaded.ron"),
    ),
    (
        "signals high",
        include_str!("../../sample_circuits/06-signals-high.ron"),
    ),
    (
        "weak but right",
        include_str!("../../sample_circuits/07-weak-but-right.ron"),
    ),
    (
        "healthy feed",
        include_str!("../../sample_circuits/08-healthy-feed.ron"),
    ),
    (
        "two at once",
        include_str!("../../sample_circuits/09-two-at-once.ron"),
    ),
    (
        "reads high unplugged",
        include_str!("../../sample_circuits/10-reads-high-unplugged.ron"),
    ),
    (
        "every plug off",
        include_str!("../../sample_circuits/11-every-plug-off.ron"),
    ),
    (
        "one line wrong",
        include_str!("../../sample_circuits/12-one-line-wrong.ron"),
    ),
    (
        "proved and signed",
        include_str!("../../sample_circuits/13-proved-and-signed.ron"),
    ),
];
