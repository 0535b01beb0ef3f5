//! What could be done otherwise, in sentences: what one thing relaxed is worth, and the way out where the water does not last.

use passage::decision::{Relax, Remedied, Worth};

/// "An hour less notice before the end of sea passage would be worth 0 USD, five miles nearer to land 17, …".
pub(super) fn worth(relaxed: &[Worth], currency: &str) -> Option<String> {
    let named = [
        (Relax::HourLater, "an hour less notice before the end of sea passage"),
        (Relax::FiveNmiNearer, "five miles nearer to land"),
        (Relax::AnyHour, "a start at night"),
        (Relax::TenTMoreRoom, "ten tonnes more room"),
        (Relax::TenTMoreNow, "ten tonnes more aboard now"),
        (Relax::LoadPlus5, "5 % more engine load, without its fuel,"),
        (Relax::OutputPlus5, "5 % more output"),
        (Relax::UseHalfATonneLess, "half a tonne a day less used"),
    ];
    let of = |relax: Relax| relaxed.iter().find(|worth| worth.relax == relax);
    let told: Vec<(&str, f64)> = named
        .iter()
        .filter_map(|(relax, name)| Some((*name, of(*relax)?.worth.round() + 0.0)))
        .collect();
    let (nothing, something): (Vec<_>, Vec<_>) = told.iter().partition(|(_, worth)| *worth < 1.0);
    let mut sentences = Vec::new();
    let mut parts = something.iter();
    if let Some((name, worth)) = parts.next() {
        let rest: String = parts.map(|(name, worth)| format!(", {name} {worth:.0}")).collect();
        sentences.push(format!("{} would be worth {worth:.0} {currency}{rest}.", capital(name)));
    }
    let nothing: Vec<&str> = nothing.iter().map(|(name, _)| name.trim_end_matches(',')).collect();
    if !nothing.is_empty() {
        sentences.push(format!("Worth nothing: {}.", nothing.join("; ")));
    }
    (!sentences.is_empty()).then(|| sentences.join(" "))
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// The remedy to take, with what it costs more and its first orders; none where the plan as ordered lasts.
pub(super) fn way_out(
    remedies: &[Remedied],
    currency: &str,
    at: impl Fn(usize) -> String,
) -> Option<String> {
    let as_ordered = remedies.first().filter(|first| !first.lasts)?;
    let Some(taken) = remedies.iter().find(|remedy| remedy.take) else {
        return Some("None of the remedies looked at makes it last; look at the speeds below, buy, or use less.".to_owned());
    };
    let more = taken.expected_cost - as_ordered.expected_cost;
    let cost = if more.abs() < 0.5 {
        "at the same cost".to_owned()
    } else {
        let word = if more > 0.0 { "more" } else { "less" };
        format!("for {:.0} {currency} {word}", more.abs())
    };
    let orders = taken.orders.first().map_or_else(
        || ", and no water is made".to_owned(),
        |first| match (first.start, first.heat_off) {
            (Some(start), Some(off)) => format!(": start {}, heat off {}", at(start), at(off)),
            (Some(start), None) => format!(": start {}, then the heat stays on", at(start)),
            (None, Some(off)) => format!(": heat off {}", at(off)),
            (None, None) => ": the heat stays on".to_owned(),
        },
    );
    Some(format!(
        "It lasts with this: {}, {cost}{orders}. {} in a hundred it is then under the reserve.",
        taken.what,
        times(taken.worst_chance)
    ))
}

fn times(chance: f64) -> String {
    match (100.0 * chance).round() {
        n if n < 1.0 => "Less than once".to_owned(),
        n if n < 1.5 => "Once".to_owned(),
        n => format!("{n:.0} times"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use passage::decision::Order;

    fn remedied(what: &str, expected_cost: f64, lasts: bool, take: bool) -> Remedied {
        let order = Order {
            start: Some(40),
            first_water: Some(45),
            heat_off: Some(90),
            shut_down: Some(93),
        };
        Remedied {
            what: what.into(),
            expected_cost,
            lowest_p10_t: 30.0,
            worst_chance: 0.07,
            bought_t: 0.0,
            short_t: 0.0,
            lasts,
            take,
            orders: vec![order],
            stock_t: Vec::new(),
        }
    }

    #[test]
    fn ident_the_way_out_is_the_one_marked_with_its_price_and_orders() {
        let told = |list: &[Remedied]| way_out(list, "USD", |k| format!("hour {}", k / 4));
        let (poor, good) = (
            remedied("as ordered", 900.0, false, false),
            remedied("as ordered", 900.0, true, false),
        );
        let other = remedied("nothing bought", 950.0, false, false);
        let less = remedied("domestic use 20 % less", 1023.4, true, true);
        assert_eq!(
            told(&[poor.clone(), other.clone(), less.clone()]).as_deref(),
            Some(
                "It lasts with this: domestic use 20 % less, for 123 USD more: start hour 10, heat off hour 22. 7 times in a hundred it is then under the reserve."
            )
        );
        assert!(
            told(&[poor, other.clone()])
                .is_some_and(|says| says.starts_with("None of the remedies"))
        );
        assert_eq!(told(&[good, other, less]), None);
    }

    #[test]
    fn ident_what_is_worth_something_comes_before_what_is_worth_nothing() {
        let one = |relax, worth| Worth { relax, worth };
        let told = worth(
            &[
                one(Relax::HourLater, 0.2),
                one(Relax::FiveNmiNearer, 16.7),
                one(Relax::TenTMoreNow, 11.9),
            ],
            "USD",
        );
        assert_eq!(
            told.as_deref(),
            Some(
                "Five miles nearer to land would be worth 17 USD, ten tonnes more aboard now 12. Worth nothing: an hour less notice before the end of sea passage."
            )
        );
        assert_eq!(worth(&[], "USD"), None);
    }
}
