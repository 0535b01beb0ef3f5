//! What is missing of the output, and what it goes to: one figure, in parts that add up to it.

use ::findings::Cause;

use crate::now::{NowView, Verdict};
use crate::view::Band;

use super::looked::Looked;
use super::view::CauseLine;

/// A rest over this part of what is missing, and over so many t/day, is told by itself.
const TOLD: (f64, f64) = (0.2, 0.3);

/// What is missing of the output by the last round, t/day in tenths.
#[derive(Debug, Clone, PartialEq)]
pub struct Missing {
    /// All that is missing: the page's one figure.
    pub short_t_day: f64,
    /// What causes explain of it: in words, and t/day; the costliest first.
    pub parts: Vec<(String, f64)>,
    /// What none of them explains; under nought where they cost more than is missing.
    pub rest_t_day: f64,
    /// What rounds before a look laid to a part that was not found: in words, and t/day. It stands within the rest.
    pub not_found: Vec<(String, f64)>,
}

/// What is short of what should be made, t/day: from what is shown, so that the page's own figures make up the difference.
pub(super) fn short(made: f64, should: Band) -> f64 {
    (whole(should.middle) - whole(made)) / 10.0
}

impl NowView {
    /// What is short of the output by the last round, t/day, as the findings have it; none where it lies within its band.
    #[must_use]
    pub fn short_t_day(&self) -> Option<f64> {
        match self.verdict {
            Verdict::Running { made, should } if made < should.low => Some(short(made, should)),
            _ => None,
        }
    }
}

/// Tenths.
fn whole(x: f64) -> f64 {
    (10.0 * x).round()
}

impl Missing {
    /// None where nothing is missing outside the band.
    pub(super) fn of(
        made: Option<(f64, Band)>,
        causes: &[CauseLine],
        not_found: Vec<(String, f64)>,
    ) -> Option<Self> {
        let (made, should) = made.filter(|(made, should)| *made < should.low)?;
        let tenths = whole(short(made, should));
        let told = |(words, t_day): (String, f64)| {
            let t = whole(t_day);
            (t >= 1.0).then_some((words, t / 10.0))
        };
        let cost = |cause: &CauseLine| Some((cause.words.clone(), cause.loss_t_day?));
        let only_read = |cause: &CauseLine| {
            Some(("what the distillate meter does not count".to_owned(), cause.read_low_t_day?))
        };
        let mut parts: Vec<(String, f64)> = causes
            .iter()
            .filter_map(cost)
            .chain(causes.iter().filter_map(only_read))
            .filter_map(told)
            .collect();
        parts.sort_by(|a, b| b.1.total_cmp(&a.1));
        let explained: f64 = parts.iter().map(|(_, t)| whole(*t)).sum();
        Some(Missing {
            short_t_day: tenths / 10.0,
            rest_t_day: (tenths - explained) / 10.0,
            not_found: not_found.into_iter().filter_map(told).collect(),
            parts,
        })
    }

    /// What causes explain, t/day.
    #[must_use]
    pub fn explained_t_day(&self) -> f64 {
        (whole(self.short_t_day) - whole(self.rest_t_day)) / 10.0
    }

    /// What these causes explain together, t/day.
    pub(super) fn of_causes(&self, causes: &[Cause]) -> f64 {
        let of = |words: &str| causes.iter().any(|cause| cause.words() == words);
        self.parts.iter().filter(|(words, _)| of(words)).map(|(_, t)| t).sum()
    }

    /// Whether so much is not explained that it is told by itself.
    #[must_use]
    pub fn leaves_much(&self) -> bool {
        self.rest_t_day >= TOLD.0 * self.short_t_day && self.rest_t_day >= TOLD.1
    }

    /// What is explained and what is not, in sentences: they add up.
    #[must_use]
    pub fn says(&self) -> String {
        let list = |parts: &[(String, f64)]| {
            let named: Vec<String> = parts.iter().map(|(w, t)| format!("{w} {t:.1}")).collect();
            named.join(", ")
        };
        let short = self.short_t_day;
        let explained = match &*self.parts {
            [] => format!("Of the {short:.1} t/day missing no cause explains a part that shows."),
            parts => format!(
                "Of the {short:.1} t/day missing {:.1} {} explained: {}.",
                self.explained_t_day(),
                if self.explained_t_day() >= 1.95 { "are" } else { "is" },
                list(parts)
            ),
        };
        let rest = self.rest_t_day;
        let rest = if self.leaves_much() {
            format!(" Not explained: {rest:.1} t/day.")
        } else if rest >= 0.05 {
            format!(" The other {rest:.1} lies within what counter and thermometers may be off.")
        } else if rest <= -0.05 {
            format!(
                " That is {:.1} more than is missing: counter or thermometers are off by that.",
                -rest
            )
        } else {
            String::new()
        };
        let laid = self.not_found.iter().map(|(w, t)| format!("{t:.1} t/day to {w}"));
        let laid: Vec<String> = laid.collect();
        let looked = if laid.is_empty() {
            String::new()
        } else {
            format!(
                " The rounds before the look laid {}; that was not found, so it is open again.",
                laid.join(" and ")
            )
        };
        format!("{explained}{rest}{looked}")
    }
}

/// Brings the costs down to what is short by the last round, where that lies within the band: the part of them that is left, 0 to 1.
pub(super) fn no_more_than_short(made: Option<(f64, Band)>, causes: &mut [CauseLine]) -> f64 {
    let within = made.filter(|(made, should)| *made >= should.low);
    let costs: f64 = causes.iter().filter_map(|cause| cause.loss_t_day).map(|t| t.max(0.0)).sum();
    let short = within.map_or(costs, |(made, should)| short(made, should).max(0.0));
    if costs <= short {
        return 1.0;
    }
    let part = short / costs;
    for cause in causes {
        cause.loss_t_day = cause.loss_t_day.map(|t| part * t);
        cause.cure_t_day = cause.cure_t_day.map(|t| part * t);
    }
    part
}

/// What rounds before a look laid to parts that were not found.
pub(super) fn laid(looked: &[Looked], cost: impl Fn(&Looked) -> Option<f64>) -> Vec<(String, f64)> {
    looked
        .iter()
        .filter(|look| look.set_aside)
        .filter_map(|look| Some((look.cause_words.clone(), cost(look)?)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn costing(words: &str, loss_t_day: f64) -> CauseLine {
        CauseLine {
            key: words.to_owned(),
            words: words.to_owned(),
            chance: 0.5,
            changed: 0.0,
            came: None,
            now: String::new(),
            between: (String::new(), String::new()),
            limit: String::new(),
            part_of: "",
            in_unit: String::new(),
            share: None,
            loss_t_day: Some(loss_t_day),
            cure_t_day: None,
            instrument: false,
            known: None,
            few: None,
            read_low_t_day: None,
        }
    }

    fn missing(made: f64, costs: &[(&str, f64)], not_found: &[(&str, f64)]) -> Option<Missing> {
        let causes: Vec<CauseLine> = costs.iter().map(|(w, t)| costing(w, *t)).collect();
        let should = Band { middle: 24.2, low: 21.9, high: 26.5 };
        let laid = not_found.iter().map(|(w, t)| ((*w).to_owned(), *t)).collect();
        Missing::of(Some((made, should)), &causes, laid)
    }

    #[test]
    fn ident_parts_and_the_rest_are_what_is_missing_to_the_tenth() {
        let mut seen = 0;
        for made in [15.04, 18.33, 20.17, 20.25, 21.86] {
            for a in [0.04, 0.05, 0.449, 2.65, 3.35] {
                for b in [0.049, 0.75, 0.851] {
                    let one = missing(made, &[("a", a), ("b", b)], &[]).expect("short");
                    let sum: f64 = one.parts.iter().map(|p| p.1).sum::<f64>() + one.rest_t_day;
                    assert!((sum - one.short_t_day).abs() < 1e-9, "{one:?}");
                    assert!((one.short_t_day - (242.0 - whole(made)) / 10.0).abs() < 1e-9);
                    seen += 1;
                }
            }
        }
        assert_eq!(seen, 75);
        assert!(missing(21.95, &[("a", 1.0)], &[]).is_none(), "within the band nothing is missing");
    }

    #[test]
    fn ident_within_the_band_costs_are_no_more_than_is_short() {
        let should = Band { middle: 24.2, low: 21.9, high: 26.5 };
        let mut causes = [costing("a", 2.7), costing("b", 0.3)];
        let part = no_more_than_short(Some((23.6, should)), &mut causes);
        let costs = causes.each_ref().map(|cause| cause.loss_t_day.expect("costs"));
        assert!((part - 0.2).abs() < 1e-9 && (costs[0] - 0.54).abs() < 1e-9, "{part} {costs:?}");
        // Outside the band the rest has a line of its own, and without a counter nothing is short.
        for made in [Some((20.2, should)), None] {
            assert!((no_more_than_short(made, &mut causes) - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn ident_what_is_explained_and_what_is_not_is_said() {
        let looked = missing(20.2, &[("scale", 0.8)], &[("a fouled condenser", 2.53)]);
        assert_eq!(
            looked.expect("short").says(),
            "Of the 4.0 t/day missing 0.8 is explained: scale 0.8. Not explained: 3.2 t/day. The rounds before the look laid 2.5 t/day to a fouled condenser; that was not found, so it is open again."
        );
        let near = missing(20.2, &[("scale", 0.8), ("fouling", 2.7)], &[]).expect("short");
        assert_eq!(
            near.says(),
            "Of the 4.0 t/day missing 3.5 are explained: fouling 2.7, scale 0.8. The other 0.5 lies within what counter and thermometers may be off."
        );
        let over = missing(21.0, &[("fouling", 3.7)], &[]).expect("short").says();
        assert!(over.contains("0.5 more than is missing"), "{over}");
    }
}
