//! Canonical JSON (RFC 8785): sorted keys, no spaces, one way to write each string and number.

use serde_json::Value;

/// The canonical text of any JSON value.
pub fn canonical_json(value: &Value) -> String {
    let mut out = String::new();
    write_value(&mut out, value);
    out
}

fn write_value(out: &mut String, value: &Value) {
    match value {
        Value::Null => out.push_str("null"),
        Value::Bool(true) => out.push_str("true"),
        Value::Bool(false) => out.push_str("false"),
        Value::Number(number) => match number.as_f64() {
            Some(number) => write_number(out, number),
            None => out.push_str("null"),
        },
        Value::String(text) => write_string(out, text),
        Value::Array(items) => {
            out.push('[');
            for (index, item) in items.iter().enumerate() {
                if index > 0 {
                    out.push(',');
                }
                write_value(out, item);
            }
            out.push(']');
        }
        Value::Object(members) => {
            let mut keys: Vec<&String> = members.keys().collect();
            keys.sort_by(|a, b| a.encode_utf16().cmp(b.encode_utf16()));
            out.push('{');
            for (index, key) in keys.into_iter().enumerate() {
                if index > 0 {
                    out.push(',');
                }
                write_string(out, key);
                out.push(':');
                write_value(out, &members[key.as_str()]);
            }
            out.push('}');
        }
    }
}

/// A string in quotes with the escapes of RFC 8785 §3.2.2.2: the two-sign ones where they exist, else `\u00xx`.
pub(crate) fn write_string(out: &mut String, text: &str) {
    out.push('"');
    let mut plain_from = 0;
    for (index, byte) in text.bytes().enumerate() {
        if byte >= 0x20 && byte != b'"' && byte != b'\\' {
            continue;
        }
        out.push_str(&text[plain_from..index]);
        plain_from = index + 1;
        match byte {
            b'"' => out.push_str("\\\""),
            b'\\' => out.push_str("\\\\"),
            0x08 => out.push_str("\\b"),
            0x09 => out.push_str("\\t"),
            0x0A => out.push_str("\\n"),
            0x0C => out.push_str("\\f"),
            0x0D => out.push_str("\\r"),
            control => out.push_str(&format!("\\u{control:04x}")),
        }
    }
    out.push_str(&text[plain_from..]);
    out.push('"');
}

/// A number as ECMAScript writes it (RFC 8785 §3.2.2.3): shortest digits that return the same double.
fn write_number(out: &mut String, number: f64) {
    if !number.is_finite() {
        out.push_str("null");
        return;
    }
    if number == 0.0 {
        out.push('0');
        return;
    }
    let (sign, digits, point) = shortest_digits(number);
    let count = digits.len() as i32;
    out.push_str(sign);
    if (count..=21).contains(&point) {
        out.push_str(&digits);
        out.extend(std::iter::repeat_n('0', (point - count) as usize));
    } else if (1..=21).contains(&point) {
        let (whole, fraction) = digits.split_at(point as usize);
        out.push_str(whole);
        out.push('.');
        out.push_str(fraction);
    } else if (-5..=0).contains(&point) {
        out.push_str("0.");
        out.extend(std::iter::repeat_n('0', -point as usize));
        out.push_str(&digits);
    } else {
        let (first, rest) = digits.split_at(1);
        out.push_str(first);
        if !rest.is_empty() {
            out.push('.');
            out.push_str(rest);
        }
        out.push_str(&format!("e{:+}", point - 1));
    }
}

/// Sign, shortest digits and decimal point of a finite number other than zero: it is 0.digits × 10^point. The JSON
/// library's digits are taken because of two equally near it chooses the even one, as RFC 8785 asks.
fn shortest_digits(number: f64) -> (&'static str, String, i32) {
    let sign = if number < 0.0 { "-" } else { "" };
    let text = Value::from(number.abs()).to_string();
    let (mantissa, exponent) = text.split_once('e').unwrap_or((&text, "0"));
    let (whole, fraction) = mantissa.split_once('.').unwrap_or((mantissa, ""));
    let all = format!("{whole}{fraction}");
    let leading = all.len() - all.trim_start_matches('0').len();
    let digits = all.trim_matches('0').to_owned();
    let point = exponent.parse::<i32>().unwrap_or(0) + whole.len() as i32 - leading as i32;
    (sign, digits, point)
}

/// A measured number as the record keeps it: plain decimal, shortest that returns the same double, no minus before zero.
pub fn decimal(number: f64) -> String {
    if number == 0.0 { "0".to_owned() } else { number.to_string() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn canonical(text: &str) -> String {
        canonical_json(&serde_json::from_str(text).unwrap())
    }

    /// RFC 8785 §3.2.2 sample input and its canonical output in §3.2.3.
    #[test]
    fn ref_rfc_8785_section_3_2_sample() {
        let input = r#"{
            "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
            "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
            "literals": [null, true, false]
        }"#;
        let expected = "{\"literals\":[null,true,false],\"numbers\":[333333333.3333333,1e+30,4.5,0.002,1e-27],\
                        \"string\":\"\u{20ac}$\\u000f\\nA'B\\\"\\\\\\\\\\\"/\"}";
        assert_eq!(canonical(input), expected);
    }

    /// RFC 8785 §3.2.3: keys sort by UTF-16 code units, so an emoji (a surrogate pair) stands before U+FB33.
    #[test]
    fn ref_rfc_8785_section_3_2_3_sorting() {
        let input = r#"{"\u20ac":"Euro Sign","\r":"Carriage Return","\ufb33":"Hebrew Letter Dalet With Dagesh",
            "1":"One","\ud83d\ude00":"Emoji: Grinning Face","\u0080":"Control","\u00f6":"Latin Small Letter O With Diaeresis"}"#;
        let expected = [
            "Carriage Return",
            "One",
            "Control",
            "Latin Small Letter O With Diaeresis",
            "Euro Sign",
            "Emoji: Grinning Face",
            "Hebrew Letter Dalet With Dagesh",
        ];
        let text = canonical(input);
        let places: Vec<_> = expected.iter().map(|value| text.find(value).unwrap()).collect();
        assert!(places.is_sorted(), "{text}");
    }

    /// RFC 8785 appendix B, "Number Serialization Samples": IEEE 754 bits and the text.
    #[test]
    fn ref_rfc_8785_appendix_b_numbers() {
        let cases = [
            (0x0000_0000_0000_0000_u64, "0"),
            (0x8000_0000_0000_0000, "0"),
            (0x0000_0000_0000_0001, "5e-324"),
            (0x8000_0000_0000_0001, "-5e-324"),
            (0x7fef_ffff_ffff_ffff, "1.7976931348623157e+308"),
            (0xffef_ffff_ffff_ffff, "-1.7976931348623157e+308"),
            (0x4340_0000_0000_0000, "9007199254740992"),
            (0xc340_0000_0000_0000, "-9007199254740992"),
            (0x4430_0000_0000_0000, "295147905179352830000"),
            (0x44b5_2d02_c7e1_4af5, "9.999999999999997e+22"),
            (0x44b5_2d02_c7e1_4af6, "1e+23"),
            (0x44b5_2d02_c7e1_4af7, "1.0000000000000001e+23"),
            (0x444b_1ae4_d6e2_ef4e, "999999999999999700000"),
            (0x444b_1ae4_d6e2_ef4f, "999999999999999900000"),
            (0x444b_1ae4_d6e2_ef50, "1e+21"),
            (0x3eb0_c6f7_a0b5_ed8c, "9.999999999999997e-7"),
            (0x3eb0_c6f7_a0b5_ed8d, "0.000001"),
            (0x41b3_de43_5555_5553, "333333333.3333332"),
            (0x41b3_de43_5555_5554, "333333333.33333325"),
            (0x41b3_de43_5555_5555, "333333333.3333333"),
            (0x41b3_de43_5555_5556, "333333333.3333334"),
            (0x41b3_de43_5555_5557, "333333333.33333343"),
            (0xbecb_f647_612f_3696, "-0.0000033333333333333333"),
            (0x4314_3ff3_c1cb_0959, "1424953923781206.2"),
        ];
        for (bits, expected) in cases {
            let mut out = String::new();
            write_number(&mut out, f64::from_bits(bits));
            assert_eq!(out, expected, "{bits:016x}");
        }
    }

    proptest! {
        #[test]
        fn ident_canonical_text_is_its_own_canonical_text(text in ".*", number in proptest::num::f64::NORMAL) {
            let value = serde_json::json!({ text.as_str(): [text.as_str(), number], "a": { "b": text.as_str() } });
            let once = canonical_json(&value);
            let again: Value = serde_json::from_str(&once).unwrap();
            let same = again[text.as_str()][1].as_f64().or(again["a"]["b"].as_f64());
            prop_assert!(text == "a" || same == Some(number));
            prop_assert_eq!(canonical_json(&again), once);
        }

        #[test]
        fn ident_decimal_returns_the_same_double(number in proptest::num::f64::ANY.prop_filter("finite", |n| n.is_finite())) {
            let text = decimal(number);
            prop_assert_eq!(text.parse::<f64>().unwrap(), number);
            prop_assert!(!text.contains('e'));
        }
    }
}
