//! Events of an earlier route: they stay with it, are told, and are not reckoned for another one.

use ocean::{Leg, Track};
use route::Route;

use super::events::{Events, EventsRefused, blocks};

/// The line by which an event says for which route it was written.
const KEY: &str = "route";
/// A route that ends farther than this from where the other does is another one, nmi.
const APART_NMI: f64 = 50.0;

/// Whether a route is another passage than the one before: it ends elsewhere, or begins after the other has ended.
pub(super) fn is_another(before: &Route, route: &Route) -> bool {
    let Some((end, other)) = before.waypoints.last().zip(route.waypoints.last()) else {
        return true;
    };
    let apart = Leg::new(end.position, other.position, Track::GreatCircle).length().nmi();
    let over = before.schedule().ok().zip(route.schedule().ok());
    apart > APART_NMI || over.is_some_and(|(before, route)| before.end() <= route.start())
}

/// A route by its ends and the day of its departure.
fn name(route: &Route) -> String {
    let end = |port: &Option<String>, waypoint: Option<&route::Waypoint>| {
        let named = waypoint.map(|w| match w.name.as_str() {
            "" => w.position.to_string(),
            name => name.to_owned(),
        });
        port.clone().or(named).unwrap_or_default()
    };
    let from = end(&route.from_port, route.waypoints.first());
    let to = end(&route.to_port, route.waypoints.last());
    let day = route.schedule().map(|s| s.departure().strftime(", %-d %b %Y").to_string());
    format!("{from} to {to}{}", day.unwrap_or_default())
}

/// The text with every event that says nothing of its route marked as this one's; all else as it was typed.
pub(super) fn marked(text: &str, route: &Route) -> String {
    let mark = format!("{KEY} = {:?}\n", name(route));
    let one = |block: String| match (is_event(&block), of_route(&block)) {
        (true, None) => match block.split_once('\n') {
            Some((head, rest)) => format!("{head}\n{mark}{rest}"),
            None => format!("{block}\n{mark}"),
        },
        _ => block,
    };
    blocks(text).into_iter().map(one).collect()
}

/// The text without the lines that say for which route an event was written.
pub(super) fn unmarked(text: &str) -> String {
    text.split_inclusive('\n').filter(|line| route_told(line).is_none()).collect()
}

fn is_event(block: &str) -> bool {
    block.trim_start().starts_with("[[")
}

/// For which route a block says it was written.
fn of_route(block: &str) -> Option<String> {
    block.lines().find_map(route_told)
}

fn route_told(line: &str) -> Option<String> {
    let told = line.trim().strip_prefix(KEY)?.trim_start().strip_prefix('=')?.trim();
    let told = told.strip_prefix('"')?.split('"').next()?;
    Some(told.to_owned())
}

impl Events {
    /// The events that are this route's, and those of an earlier one, each in words.
    ///
    /// # Errors
    /// As [`Events::read`].
    pub fn of(text: &str, route: &Route) -> Result<(Events, Vec<String>), EventsRefused> {
        let name = name(route);
        let is_earlier =
            |block: &String| is_event(block) && of_route(block).is_some_and(|told| told != name);
        let (earlier, own): (Vec<String>, Vec<String>) =
            blocks(text).into_iter().partition(is_earlier);
        // Those of one route are told together.
        let mut told: Vec<(String, Vec<String>)> = Vec::new();
        for block in &earlier {
            let of = of_route(block).unwrap_or_default();
            let what = Events::read(block)?.told();
            match told.iter_mut().find(|(route, _)| *route == of) {
                Some((_, all)) => all.extend(what),
                None => told.push((of, what)),
            }
        }
        let told = told.into_iter().map(|(of, all)| format!("of {of}: {}", all.join("; ")));
        Ok((Events::read(&own.concat())?, told.collect()))
    }

    /// Everything there is, each in words.
    fn told(&self) -> Vec<String> {
        let day = |at: jiff::Timestamp| at.strftime("%-d %b %Y").to_string();
        let draws = self.draws.iter().map(|draw| format!("{}, {}", draw.name, day(draw.from)));
        let areas = self.areas.iter().map(|area| format!("area {}", area.name()));
        let discharges = self.discharges.iter().map(|(at, _)| format!("discharge, {}", day(*at)));
        let ceilings = self.ceilings.iter();
        let ceilings = ceilings.map(|(at, t)| format!("at most {t} t aboard from {}", day(*at)));
        let sales = self.for_sale.iter().map(|(name, at, ..)| format!("{name}, {}", day(*at)));
        let legs = self.legs.iter().map(|leg| format!("the leg to waypoint {}", leg.to));
        let stops = self.stops.iter().map(|stop| format!("the stop at waypoint {}", stop.at));
        let told = draws.chain(areas).chain(discharges).chain(ceilings);
        told.chain(sales).chain(legs).chain(stops).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn route(lines: &str) -> Route {
        route::Reading::of_bytes(lines.as_bytes()).route.expect("a route")
    }

    const OUT: &str =
        "departure: 2026-11-20T00:00Z\n1 N 1 E, \"Here\"\n12 N 2 E, \"There\", 12 kn\n";
    const BACK: &str =
        "departure: 2026-12-20T00:00Z\n12 N 2 E, \"There\"\n1 N 1 E, \"Here\", 12 kn\n";
    const EVENTS: &str = "# rinsing\n[[draw]]\nname = \"hold 1\"\nfrom = \"2026-12-22T00:00Z\"\nhours = 6\nt = 30\n\n[[area]]\nname = \"a\"\ncorners = [\"1 N 1 E\", \"1 N 2 E\", \"2 N 2 E\"]\n";

    #[test]
    fn ident_events_stay_with_the_route_they_were_written_for() {
        let (out, back) = (route(OUT), route(BACK));
        let marked = marked(EVENTS, &out);
        assert_eq!(unmarked(&marked), EVENTS);
        let (own, earlier) = Events::of(&marked, &out).expect("taken");
        assert_eq!((own.draws.len(), own.areas.len(), earlier.len()), (1, 1, 0));
        let (own, earlier) = Events::of(&marked, &back).expect("taken");
        assert_eq!(own, Events::default());
        assert_eq!(earlier, ["of Here to There, 20 Nov 2026: hold 1, 22 Dec 2026; area a"]);
        // What is written now is this route's until another one is kept; what is marked stays as it is.
        let both = format!("{marked}{EVENTS}");
        let (own, earlier) = Events::of(&both, &back).expect("taken");
        assert_eq!((own.draws.len(), earlier.len()), (1, 1));
        assert_eq!(super::marked(&marked, &back), marked);
    }

    #[test]
    fn ident_a_route_put_off_or_begun_again_on_the_way_is_the_same_passage() {
        let out = route(OUT);
        let later = route(&OUT.replace("11-20T00", "11-21T12"));
        let on_the_way =
            route("departure: 2026-11-21T00:00Z\n6 N 1 E\n12 N 2 E, \"There\", 12 kn\n");
        let again = route(&OUT.replace("2026-11", "2027-03"));
        assert!(!is_another(&out, &later) && !is_another(&out, &on_the_way));
        assert!(is_another(&out, &route(BACK)) && is_another(&out, &again));
    }
}
