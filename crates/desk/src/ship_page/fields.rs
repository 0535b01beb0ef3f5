//! Every figure of the ship file as a field: what it means, what is usual, where to read it off, what it is now.

use plant::Value;
use plant::keys::{self, Key, Kind};

use super::symbol;
use crate::field;
use crate::instrument::INSTRUMENTS;
use crate::ship::{
    CHECKS, DEMAND, DOUBTS, Holds, Item, LIMITS, ORDERS, PRICES, SETTINGS, Ship, Tank,
};

/// What a field takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// A number.
    Number,
    /// A number that may be left empty.
    Optional,
    /// One of these words.
    Word(&'static [&'static str]),
    /// Words.
    Text,
    /// Numbers on one line.
    List,
    /// Rows of two numbers, one row a line.
    Rows,
}

/// One field of the ship file.
#[derive(Debug, Clone, PartialEq)]
pub struct ShipField {
    /// Section and key, as in `plant.rated_product_t_day`.
    pub name: String,
    /// Label.
    pub label: String,
    /// What it is.
    pub meaning: String,
    /// What is usual, in words; empty where nothing is.
    pub usual: String,
    /// Where to read it off.
    pub place: String,
    /// Symbol of the unit.
    pub unit: &'static str,
    /// What it takes.
    pub shape: Shape,
    /// What it is now, as text.
    pub text: String,
    /// Allowed, but outside what is usual.
    pub unusual: bool,
    /// Still a typical plant's figure, not this ship's.
    pub unconfirmed: bool,
}

/// Fields under one heading.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// Heading.
    pub title: String,
    /// What the group is for.
    pub about: &'static str,
    /// The fields in their order.
    pub fields: Vec<ShipField>,
}

/// What an instrument is trusted to; empty fields mean what is usual for its kind.
#[derive(Debug, Clone, PartialEq)]
pub struct TrustField {
    /// Name of the reading; the fields are `trust.<reading>.standing` and `trust.<reading>.each`.
    pub reading: &'static str,
    /// Label of the reading.
    pub label: &'static str,
    /// Symbol of the unit.
    pub unit: &'static str,
    /// Standing and each-reading error as the ship says, as text; empty where she says nothing.
    pub own: [String; 2],
    /// Usual errors of its kind, as text.
    pub usual: [String; 2],
}

/// A number as the file writes it.
pub(super) fn plain(x: f64) -> String {
    if x != 0.0 && (x.abs() < 1.0e-4 || x.abs() >= 1.0e9) {
        format!("{x:e}")
    } else {
        format!("{x}")
    }
}

/// Rows of two numbers, one a line.
fn lines(rows: &[[f64; 2]]) -> String {
    rows.iter().map(|[x, y]| format!("{} {}", plain(*x), plain(*y))).collect::<Vec<_>>().join("\n")
}

/// Headings over the plant sheet's keys: title, what it is for, first key of the group.
const SHEET_GROUPS: [(&str, &str, &str); 6] = [
    (
        "Rated point",
        "What the maker promises at one point; everything else is worked out from it.",
        "rated_product_t_day",
    ),
    (
        "Ejector and air",
        "What the ejector draws and lifts at the rated point.",
        "rated_ejector_pressure_bar_g",
    ),
    ("Shell and surfaces", "Sizes from the drawing.", "separation_area_m2"),
    (
        "How the parts behave",
        "Leave these as they are unless the maker or the log says better.",
        "evaporator_split",
    ),
    ("The engine", "What the jacket water gives, and what the plant must leave it.", "feed_from"),
    ("The plant’s own limits", "Run to limits means: never past these.", "product_max_t_day"),
];

/// Every field of the ship file but the instruments' trust, in groups, in the order of the file.
#[must_use]
pub fn groups(ship: &Ship) -> Vec<Group> {
    let mut groups = vec![identity(ship)];
    groups.extend(sheet(ship));
    groups.push(positions(ship));
    let items = |title: &str,
                 about,
                 section: &str,
                 items: &'static [Item],
                 get: &dyn Fn(&str) -> Option<f64>| Group {
        title: title.to_owned(),
        about,
        fields: items
            .iter()
            .map(|item| self::item(section, item, get(item.key).unwrap_or(f64::NAN)))
            .collect(),
    };
    let limits = |key: &str| ship.limits.get(key);
    let settings = |key: &str| ship.settings.get(key);
    let doubts = |key: &str| ship.doubts.get(key);
    let orders = |key: &str| ship.orders.get(key);
    let demand = |key: &str| ship.demand.get(key);
    let prices = |key: &str| ship.prices.get(key);
    let checks = |key: &str| ship.checks.get(key);
    groups.push(items(
        "When she wants to be told",
        "Limits on readings, common practice unless the maker says otherwise.",
        "limits",
        LIMITS,
        &limits,
    ));
    groups.push(items(
        "What stands set aboard",
        "Set points and marks that a procedure holds readings against.",
        "settings",
        SETTINGS,
        &settings,
    ));
    groups.push(items(
        "How far sheet and settings are to be trusted",
        "One standard deviation each; they make the band after ±.",
        "doubts",
        DOUBTS,
        &doubts,
    ));
    groups.push(items(
        "When water may be made",
        "Standing orders; the passage plan keeps inside them.",
        "orders",
        ORDERS,
        &orders,
    ));
    groups.push(items(
        "What is used",
        "A planning figure until the ship's own balance of thirty days stands here.",
        "demand",
        DEMAND,
        &demand,
    ));
    groups.push(items(
        "What things cost",
        "In the ship’s currency; they decide between plans that all keep the reserve.",
        "prices",
        PRICES,
        &prices,
    ));
    groups.push(items(
        "What checks are reckoned with",
        "Figures off the drawing that a check of the plant goes with.",
        "checks",
        CHECKS,
        &checks,
    ));
    groups.extend(ship.tanks.iter().enumerate().map(|(i, tank)| self::tank(i, tank)));
    groups.push(tank(ship.tanks.len(), &blank_tank()));
    groups
}

/// Title of the fields a tank is added by.
pub(super) const ANOTHER_TANK: &str = "Another tank";

fn blank_tank() -> Tank {
    Tank {
        key: String::new(),
        name: String::new(),
        holds: Holds::Fresh,
        capacity_m3: f64::NAN,
        unpumpable_m3: 0.0,
        soundings: Vec::new(),
    }
}

fn field(
    name: &str,
    label: &str,
    meaning: &str,
    place: &str,
    shape: Shape,
    text: String,
) -> ShipField {
    ShipField {
        name: name.to_owned(),
        label: label.to_owned(),
        meaning: meaning.to_owned(),
        usual: String::new(),
        place: place.to_owned(),
        unit: "",
        shape,
        text,
        unusual: false,
        unconfirmed: false,
    }
}

fn identity(ship: &Ship) -> Group {
    let words = |key: &str, label: &str, meaning: &str, text: &str| {
        field(&format!("ship.{key}"), label, meaning, "", Shape::Text, text.to_owned())
    };
    let number = |key: &str, label: &str, meaning: &str, usual: &str, unit, x: f64| ShipField {
        usual: usual.to_owned(),
        unit,
        ..field(&format!("ship.{key}"), label, meaning, "", Shape::Number, plain(x))
    };
    Group {
        title: "The ship".into(),
        about: "What stands at the head of every page, and who is aboard.",
        fields: vec![
            words("name", "Name", "Stands at the head of every page.", &ship.name),
            words("kind", "Kind", "What she is, as bulk carrier.", &ship.kind),
            words(
                "voyage",
                "Voyage",
                "From where to where; stands at the head of every page.",
                &ship.voyage,
            ),
            words(
                "node",
                "Mark of this record",
                "Goes into every entry; never changed while a record is kept.",
                &ship.node,
            ),
            words("currency", "Currency", "What prices are counted in.", &ship.currency),
            number(
                "crew",
                "People aboard",
                "For what is used a day.",
                "usual 5 to 40",
                "",
                ship.crew,
            ),
            number(
                "round_hours",
                "Hours between rounds",
                "A watch, or a round where the engine room is unmanned at night.",
                "usual 4 to 12",
                "h",
                ship.round_hours,
            ),
        ],
    }
}

fn sheet(ship: &Ship) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for key in keys::SHEET {
        if let Some((title, about, _)) = SHEET_GROUPS.iter().find(|(_, _, first)| *first == key.key)
        {
            groups.push(Group { title: (*title).to_owned(), about, fields: Vec::new() });
        }
        if let Some(group) = groups.last_mut() {
            group.fields.push(of_sheet(ship, key));
        }
    }
    groups
}

fn of_sheet(ship: &Ship, key: &'static Key) -> ShipField {
    let value = ship.sheet.get(key.key).unwrap_or(Value::Absent);
    let text = match &value {
        Value::Absent => String::new(),
        Value::Flag(yes) => yes.to_string(),
        Value::Number(x) => plain(*x),
        Value::Word(word) => word.clone(),
        Value::List(list) => list.iter().map(|x| plain(*x)).collect::<Vec<_>>().join(" "),
        Value::Table(rows) => lines(rows),
    };
    let shape = match key.kind {
        Kind::Optional => Shape::Optional,
        Kind::Word(words) => Shape::Word(words),
        Kind::Shares => Shape::List,
        Kind::Table => Shape::Rows,
        Kind::Number | Kind::Flag | Kind::Record => Shape::Number,
    };
    let figures = matches!(key.kind, Kind::Number | Kind::Optional);
    let unusual =
        figures && matches!(value, Value::Number(x) if x < key.typical.0 || x > key.typical.1);
    let usual = match key.kind {
        Kind::Number | Kind::Optional => {
            format!("usual {} to {}", plain(key.typical.0), plain(key.typical.1))
        }
        Kind::Table => "a line each: load in %, heat in kW".to_owned(),
        Kind::Shares => "three shares that sum to 1".to_owned(),
        _ => String::new(),
    };
    let unit = if key.kind == Kind::Table { "" } else { symbol(key.unit) };
    ShipField {
        usual,
        unit,
        unusual,
        unconfirmed: ship.unconfirmed.contains(&key.key),
        ..field(&format!("plant.{}", key.key), key.label, key.meaning, key.place, shape, text)
    }
}

fn positions(ship: &Ship) -> Group {
    let rows = |key: &str, label: &str, meaning: &str, rows: &[[f64; 2]]| ShipField {
        usual: "a line each: % open, kg/s".into(),
        ..field(
            &format!("positions.{key}"),
            label,
            meaning,
            "portable meter, or heat balance at a few marks",
            Shape::Rows,
            lines(rows),
        )
    };
    Group {
        title: "What valve marks mean".into(),
        about: "From the mark on a valve to the flow through heater or condenser.",
        fields: vec![
            rows(
                "bypass_percent",
                "Jacket by-pass",
                "Jacket water through the heater at each opening of the by-pass.",
                &ship.positions.bypass,
            ),
            rows(
                "condenser_throttle_percent",
                "Condenser throttle",
                "Sea water through the condenser at each opening of the throttle.",
                &ship.positions.throttle,
            ),
        ],
    }
}

fn item(section: &str, item: &'static Item, value: f64) -> ShipField {
    ShipField {
        usual: format!("usual {} to {}", plain(item.typical.0), plain(item.typical.1)),
        unit: symbol(item.unit),
        // A price or a volume of nought is one nobody gave.
        unusual: (value < item.typical.0 || value > item.typical.1)
            && !(matches!(section, "prices" | "checks") && value == 0.0),
        ..field(
            &format!("{section}.{}", item.key),
            item.label,
            item.meaning,
            item.place,
            Shape::Number,
            plain(value),
        )
    }
}

fn tank(i: usize, tank: &Tank) -> Group {
    let new = tank.key.is_empty();
    let name = |key: &str| format!("tank.{i}.{key}");
    let number = |x: f64| if x.is_finite() { plain(x) } else { String::new() };
    let cubic = |f: ShipField| ShipField { unit: "m³", ..f };
    Group {
        title: if new { ANOTHER_TANK.into() } else { format!("Tank: {}", tank.name) },
        about: if new {
            "Leave the short name empty if there is none."
        } else {
            "Empty the short name to take the tank off the list."
        },
        fields: vec![
            field(
                &name("key"),
                "Short name",
                "Used in the record: small letters, figures and _.",
                "",
                Shape::Text,
                tank.key.clone(),
            ),
            field(
                &name("name"),
                "Name",
                "As the crew calls it.",
                "",
                Shape::Text,
                tank.name.clone(),
            ),
            field(
                &name("holds"),
                "Holds",
                "Fresh for all use, drinking filled from a treated tank, distilled untreated for boiler and jackets.",
                "",
                Shape::Word(Holds::WORDS),
                tank.holds.word().to_owned(),
            ),
            cubic(field(
                &name("capacity_m3"),
                "Full",
                "What she holds when full.",
                "capacity plan",
                Shape::Number,
                number(tank.capacity_m3),
            )),
            cubic(field(
                &name("unpumpable_m3"),
                "Not pumpable",
                "What the pump cannot reach.",
                "capacity plan, or when the pump last lost suction",
                Shape::Number,
                number(tank.unpumpable_m3),
            )),
            ShipField {
                usual: "a line each: cm, m³".into(),
                ..field(
                    &name("soundings_cm_m3"),
                    "Sounding table",
                    "Volume at each sounding.",
                    "sounding tables",
                    Shape::Rows,
                    lines(&tank.soundings),
                )
            },
        ],
    }
}

/// Every instrument with what the ship says of it and what is usual for its kind.
#[must_use]
pub fn trusts(ship: &Ship) -> Vec<TrustField> {
    INSTRUMENTS
        .iter()
        .filter_map(|i| field::reading(i.reading).map(|reading| (i, reading)))
        .map(|(i, reading)| {
            let own = ship.trusts.iter().find(|t| t.reading == i.reading);
            let usual = |x: f64| {
                if i.relative { format!("{} % of it", plain(100.0 * x)) } else { plain(x) }
            };
            TrustField {
                reading: i.reading,
                label: reading.label,
                unit: symbol(reading.unit),
                own: own.map_or_else(Default::default, |t| [plain(t.standing), plain(t.each)]),
                usual: [usual(i.standing), usual(i.each)],
            }
        })
        .collect()
}
