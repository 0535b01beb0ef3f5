//! Water that is missing at a tap by the split over the tanks: which, how much, from when, and why.

use passage::decision::{Brief, Class, Duty, Problem, Short, Verdict, Want, verdict};
use passage::timeline::{Rule, Timeline};

use super::view;

/// Less in a tank is the reading of a sounding rod, t.
const LEAST_T: f64 = 0.05;

/// What is missing by the split over the tanks, more of it than soundings leave open; what comes first in time first, the most
/// where two come at once.
pub(super) fn shorts(brief: &Brief) -> Vec<&Short> {
    in_time(brief, Short::is_told)
}

fn in_time(brief: &Brief, which: impl Fn(&Short) -> bool) -> Vec<&Short> {
    let plan = brief.tank_plan.iter();
    let mut shorts: Vec<&Short> =
        plan.flat_map(|plan| &plan.short).filter(|short| which(short)).collect();
    shorts.sort_by(|a, b| a.from.cmp(&b.from).then(b.tonnes.total_cmp(&a.tonnes)));
    shorts
}

/// That water just lasts: what is missing, too little for soundings to tell.
pub(super) fn just(line: &Timeline, brief: &Brief) -> Option<String> {
    let few = in_time(brief, |short| short.tonnes >= LEAST_T && !short.is_told());
    let told = few.iter().map(|short| {
        let (from, to) = (view::at(line, short.from), view::at(line, short.to + 1));
        format!("{:.1} t of {} from {from} to {to}", short.tonnes, water(short.what))
    });
    let told: Vec<String> = told.collect();
    (!told.is_empty()).then(|| {
        format!("It just lasts: by the orders {} would be missing, less than soundings tell. Use a little less of it, or look again after the next sounding.", told.join(", "))
    })
}

/// The sentence that stands first where water is missing at a tap; `None` where none is.
pub(super) fn says(line: &Timeline, problem: &Problem, brief: &Brief) -> Option<String> {
    let shorts = shorts(brief);
    let (first, others) = shorts.split_first()?;
    let amount = |short: &Short| format!("{:.1} t of {}", short.tonnes, water(short.what));
    let mut says = format!(
        "It does not last: {} are missing from {} to {}, {}.",
        amount(first),
        view::at(line, first.from),
        view::at(line, first.to + 1),
        why(problem, brief, first)
    );
    if !others.is_empty() {
        let others: Vec<String> = others
            .iter()
            .map(|short| format!("{} from {}", amount(short), view::at(line, short.from)))
            .collect();
        says += &format!(" Also {}.", others.join(", "));
    }
    if let Some(dry) = brief.policy.stock_t.iter().skip(1).position(|t| *t <= 0.0) {
        says += &format!(" All tanks are empty on {}.", view::at(line, dry + 1));
    }
    if matches!(verdict(problem, &brief.policy), Verdict::Nowhere { .. }) {
        says += &format!(" Nowhere on this passage may water be made{}.", nowhere(line));
    }
    Some(says)
}

/// Why water may be made nowhere: what forbids most of the sea passage, or that there is none.
fn nowhere(line: &Timeline) -> String {
    let at_sea = line.samples.iter().filter_map(|sample| sample.rule.as_ref());
    let at_sea: Vec<&Rule> = at_sea.filter(|rule| !matches!(rule, Rule::Phase(_))).collect();
    let count = |rule: &Rule| at_sea.iter().filter(|other| other.word() == rule.word()).count();
    let Some(rule) = at_sea.iter().max_by_key(|rule| count(rule)) else {
        return ": she is never on sea passage".to_owned();
    };
    let most = |figure: &dyn Fn(&Rule) -> Option<f64>| {
        at_sea.iter().filter_map(|rule| figure(rule)).fold(0.0, f64::max)
    };
    match rule {
        Rule::Distance { least, .. } => {
            let off = most(&|rule| match rule {
                Rule::Distance { off, .. } => Some(off.nmi()),
                _ => None,
            });
            format!(": she is {off:.0} nmi off at most, {:.0} are ordered", least.nmi())
        }
        Rule::Depth { least_m, .. } => {
            let deep = most(&|rule| match rule {
                Rule::Depth { depth_m, .. } => Some(*depth_m),
                _ => None,
            });
            format!(": it is {deep:.0} m deep at most, {least_m:.0} are ordered")
        }
        other => format!(": {other}"),
    }
}

fn water(what: Want) -> &'static str {
    match what {
        Want::Drinking => "drinking water",
        Want::Domestic => "domestic water",
        Want::Technical => "distilled water",
        Want::WashDown => "water to rinse with",
    }
}

/// Why it is missing when it first is: no tank for it, a tank that may not serve then, or none with water in it.
fn why(problem: &Problem, brief: &Brief, short: &Short) -> String {
    let class = match short.what {
        Want::Drinking => Class::Drinking,
        Want::Technical => Class::Technical,
        Want::Domestic | Want::WashDown => Class::Domestic,
    };
    let of = |class: Class| {
        let tanks = problem.tanks.iter().enumerate();
        tanks.filter(|(_, tank)| tank.class == class).map(|(i, _)| i).collect::<Vec<_>>()
    };
    // A ship without a tank of its own for drinking or distilled water draws both from the serving tank.
    let mut from = of(class);
    if from.is_empty() {
        from = of(Class::Domestic);
    }
    if from.is_empty() {
        return "and no tank on the page Ship holds it".to_owned();
    }
    let Some(plan) = &brief.tank_plan else { return String::new() };
    let held = |i: &usize| {
        let tank = problem.tanks.get(*i)?;
        let left = plan.levels_t.get(*i)?.get(short.from)? - tank.dead_t;
        let duty = plan.duty.get(*i)?.get(short.from)?;
        let kept = matches!(duty, Duty::Filling | Duty::Standing | Duty::SetApart);
        (left > LEAST_T && kept).then(|| tank.name.clone())
    };
    let held: Vec<String> = from.iter().filter_map(held).collect();
    if held.is_empty() {
        let names: Vec<&str> =
            from.iter().filter_map(|i| Some(problem.tanks.get(*i)?.name.as_str())).collect();
        return format!("with no water left in what it is drawn from: {}", names.join(", "));
    }
    format!(
        "because what is in {} is being filled or has to stand, and may not serve",
        held.join(", ")
    )
}
