//! Moves against the order: what a hand did while something that comes before it was not so.
//!
//! The orders are common practice: sea water and vacuum before heat, heat off before anything else, the overboard valve first open and
//! last shut, nothing to a tank over the limit. Shutting the heat is never one of them.

use crate::action::Do;
use crate::parts::{
    P_COOLING, P_DISTILLATE, P_EJECTOR, S_LIMIT, V_BREAKER, V_BYPASS, V_COOLING, V_DRAIN, V_FEED,
    V_IN, V_OUT, V_OVERBOARD, V_TANK, W_DIVERTER, W_SALINOMETER,
};
use crate::record::{BOILING_KG_S, DRY_C, HEATED_KG_S};
use crate::row::Row;
use crate::stands::Stands;

/// Vacuum under which a shell has none to speak of, % (ours: three quarters of what the list waits for).
const VACUUM_PERCENT: f64 = 68.0;
/// Feed that wets the plates, kg/s (ours).
const WETS_KG_S: f64 = 0.05;
/// Water in the well that is seen in its glass, kg (ours).
const SEEN_KG: f64 = 5.0;
/// A valve open by less is shut, and by more is open, %.
const SHUT_PERCENT: f64 = 1.0;
const OPEN_PERCENT: f64 = 50.0;
/// A jacket valve turned by more at one go takes the heat at one go, % (ours).
const AT_ONE_GO_PERCENT: f64 = 50.0;
/// A turn that takes as long is no one go, s.
const GO_S: f64 = 60.0;
/// Heater body under which a shell is cold enough for its pump to stop, °C (ours: a little over what the list asks of the vapour).
const COLD_C: f64 = 55.0;

/// Vacuum over which a drain cock draws air in, % (ours), and level under which plates are dry.
const DRAINS_PERCENT: f64 = 10.0;
const DRY_LEVEL: f64 = 0.083;

/// Part of the heater under air that is felt in what she makes (ours).
const AIR_LOCK: f64 = 0.2;

/// Places of the words of the diverting valve and of the salinometer.
const DUMP: usize = 0;
const FORCED: usize = 2;
const OFF: usize = 0;

/// How heat that comes too early is told.
pub(crate) const HEAT_BEFORE: &str = "heat before";

/// How everything stood before a move.
pub(crate) struct At<'a> {
    pub(crate) row: &'a Row,
    pub(crate) stands: &'a Stands,
    /// Part of the heater that air keeps from the jacket water, 0 to 1.
    pub(crate) air_lock: f64,
    pub(crate) limit_mg_kg: f64,
    /// The limit as it was at the beginning.
    pub(crate) ship_limit_mg_kg: f64,
    /// The salinity alarm stands and no sample has shown the water in limit since.
    pub(crate) unproven: bool,
}

/// What a move at this moment goes against, each in a few words.
pub(crate) fn against(what: &Do, at: &At<'_>) -> Vec<String> {
    let At { row, stands, air_lock, limit_mg_kg, ship_limit_mg_kg: ship, unproven } = *at;
    let shut = |valve: usize| stands.valves[valve].to_percent < SHUT_PERCENT;
    let open = |valve: usize| stands.valves[valve].to_percent > OPEN_PERCENT;
    let uncooled = !stands.driven[P_COOLING] || shut(V_COOLING);
    let heated = row.jacket_flow_kg_s > HEATED_KG_S && !shut(V_IN);
    let vacuum = row.vacuum_percent.max(0.0);
    let mut said = Vec::new();
    let mut say = |is_so: bool, words: String| {
        if is_so {
            said.push(words);
        }
    };
    let unread = stands.switches[W_SALINOMETER] == OFF;
    const UNREAD: &str = "to the tank with the salinometer off";
    match *what {
        Do::Valve { place: V_IN, percent, over_s } => {
            let from = stands.valves[V_IN].to_percent;
            if percent > from {
                say(shut(V_OUT), "heater inlet opened against a shut outlet".to_owned());
                say(
                    vacuum < VACUUM_PERCENT,
                    format!("heat before vacuum: the shell was at {vacuum:.0} %"),
                );
                say(uncooled, "heat before cooling water".to_owned());
                say(row.feed_kg_s < WETS_KG_S, "heat before feed: the plates were dry".to_owned());
                let at_once = percent - from > AT_ONE_GO_PERCENT && over_s.unwrap_or(0.0) < GO_S;
                say(
                    at_once,
                    format!("heater inlet opened from {from:.0} to {percent:.0} % at one go"),
                );
            }
        }
        Do::Valve { place: V_BYPASS, percent, over_s } => {
            let from = stands.valves[V_BYPASS].to_percent;
            let at_once = from - percent > AT_ONE_GO_PERCENT && over_s.unwrap_or(0.0) < GO_S;
            say(
                at_once && !shut(V_IN),
                format!("by-pass closed from {from:.0} to {percent:.0} % at one go"),
            );
            // Once, where it passes the half.
            let passes = from >= OPEN_PERCENT && percent < OPEN_PERCENT && !shut(V_IN);
            say(
                passes && air_lock > AIR_LOCK,
                "by-pass closed with air left in the heater: it was not vented".to_owned(),
            );
        }
        Do::Pump { place: P_EJECTOR, run: true } => {
            say(
                shut(V_OVERBOARD),
                "ejector pump started against a shut overboard valve".to_owned(),
            );
        }
        Do::Pump { place: P_DISTILLATE, run: true } => {
            say(
                row.well_kg < SEEN_KG,
                "distillate pump started with no water in the well".to_owned(),
            );
        }
        Do::Pump { place: P_EJECTOR, run: false } => {
            let body = row.heater_body_c;
            say(heated, "ejector pump stopped with the heat on".to_owned());
            say(
                !heated && body > COLD_C,
                format!("ejector pump stopped with the heater body at {body:.0} °C"),
            );
        }
        Do::Pump { place: P_COOLING, run: false }
        | Do::Valve { place: V_COOLING, percent: 0.0, .. } => {
            say(heated && !uncooled, "cooling water stopped with the heat on".to_owned());
        }
        Do::Valve { place: V_FEED, percent, .. } => {
            say(heated && percent < SHUT_PERCENT, "feed shut with the heat on".to_owned());
            let dry = row.brine_level < DRY_LEVEL && row.heater_body_c > DRY_C;
            say(
                dry && percent > stands.valves[V_FEED].to_percent,
                format!("feed let on to dry plates at {:.0} °C", row.heater_body_c),
            );
        }
        Do::Valve { place: V_BREAKER, percent, .. } => {
            let opens = percent > SHUT_PERCENT;
            let boils = !heated && row.vapour_made_kg_s > BOILING_KG_S;
            say(heated && opens, "vacuum breaker opened with the heat on".to_owned());
            say(boils && opens, "vacuum breaker opened while she boiled".to_owned());
        }
        Do::Valve { place: V_DRAIN, percent, .. } => {
            let opens = percent > SHUT_PERCENT;
            say(
                opens && vacuum > DRAINS_PERCENT,
                format!("shell drain opened at {vacuum:.0} % vacuum: air goes in, nothing drains"),
            );
        }
        Do::Set { place: S_LIMIT, value, .. } => {
            let raised = value > limit_mg_kg && value > ship;
            let past =
                if unproven { ", past an alarm no second instrument has borne out" } else { "" };
            say(
                raised,
                format!(
                    "salinity limit raised to {value:.0} mg/kg over the ship’s {ship:.0}{past}"
                ),
            );
        }
        Do::Valve { place: V_OVERBOARD, percent, .. } => {
            let runs = stands.driven[P_EJECTOR];
            say(
                runs && percent < SHUT_PERCENT,
                "overboard shut with the ejector pump running".to_owned(),
            );
        }
        // A diverting valve at auto keeps the salt out by itself; one that stands at the tank does not.
        Do::Valve { place: V_TANK, percent, .. } if percent > SHUT_PERCENT => {
            let salt = row.diverting_valve > 0.5 && row.product_salt_mg_kg > limit_mg_kg;
            say(salt, "to the tank before the water was under the limit".to_owned());
            say(unread && stands.switches[W_DIVERTER] != DUMP, UNREAD.to_owned());
        }
        Do::Switch { place: W_DIVERTER, word } => {
            let past =
                if unproven { " past an alarm no second instrument has borne out" } else { "" };
            say(word == FORCED, format!("diverting valve forced{past}"));
            say(unread && word != DUMP && open(V_TANK), UNREAD.to_owned());
        }
        _ => {}
    }
    said
}
