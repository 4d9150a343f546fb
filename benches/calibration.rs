//! Are the answers as sure as they should be? Jobs from the simulated vehicle at fixed seeds, and how often the truth lay
//! where the answer said. `cargo bench --bench calibration -- 400` takes 400 jobs.

use pinchpoint::practice::calibration::{LEVELS, Table};

fn main() {
    let jobs = std::env::args()
        .skip(1)
        .find_map(|typed| typed.parse().ok());
    let table = Table::of(0..jobs.unwrap_or(200));
    let count = table.jobs as f64;
    println!(
        "| {} simulated jobs, six readings each | measured |",
        table.jobs
    );
    println!("| --- | --- |");
    for (index, level) in LEVELS.into_iter().enumerate() {
        println!(
            "| the true place is in the {:.0} % set | {:.1} % |",
            100.0 * level,
            100.0 * table.coverage(index)
        );
    }
    println!(
        "| the 90 % interval holds the true ohms | {:.1} % of {} |",
        100.0 * table.ohms.1 as f64 / table.ohms.0.max(1) as f64,
        table.ohms.0
    );
    println!(
        "| mean log2 probability of the true place | {:.2} |",
        table.log2 / count
    );
    println!(
        "| wire in the 90 % set | {:.2} m of {:.1} m |",
        table.metres / count,
        table.drawn_metres / count
    );
    println!(
        "| places in the 90 % set | {:.1} |",
        table.places as f64 / count
    );
    println!(
        "| the likeliest suspect is the true one | {:.1} % |",
        100.0 * table.top as f64 / count
    );
}
