//! The deterministic plan beside the same passages as mixed-integer programs.

#![allow(clippy::unwrap_used, reason = "a test's helpers may fail it")]

mod common;

use common::{laid_out, parse, validation};
use passage::decision::plan;

/// HiGHS 1.16.0, costs proven optimal; validation/passage/SOURCE. To 0.1 %, or a cent where the cost is next to nothing.
#[test]
fn cross_plan_costs_what_highs_proves_least_on_random_passages() {
    let problems = std::fs::read_to_string(validation("problems.jsonl")).unwrap();
    let mut costs = csv::Reader::from_path(validation("costs.csv")).unwrap();
    let costs: Vec<f64> =
        costs.records().map(|r| r.unwrap().get(1).unwrap().parse().unwrap()).collect();
    let problems: Vec<&str> = problems.lines().collect();
    assert_eq!(problems.len(), costs.len());
    assert!(costs.len() >= 50, "{}", costs.len());
    for (text, least) in problems.iter().zip(costs) {
        let problem = parse(&laid_out(text));
        let found = plan(&problem, 0.02);
        let off = found.cost - least;
        assert!(
            off <= (1.0e-3 * least).max(0.01) && off >= -1.0e-4 * least.abs() - 1.0e-4,
            "{}: {} against {least}, {:?}",
            problem.name,
            found.cost,
            found.orders
        );
    }
}
