//! The accessibility tree as indented text that survives a change of style and shows a lost label.

use std::collections::HashMap;

use serde_json::Value;

/// Roles that say nothing by themselves; what is inside them is lifted one level up.
const SILENT: [&str; 5] = ["generic", "none", "LayoutTable", "presentation", ""];

/// States worth a word, in the order they are written.
const STATES: [&str; 9] = [
    "level", "checked", "pressed", "selected", "expanded", "disabled", "required", "invalid",
    "readonly",
];

/// Writes the answer of the browser's `Accessibility.getFullAXTree`.
pub(crate) fn written(tree: &Value) -> String {
    let nodes = tree["nodes"].as_array().map(Vec::as_slice).unwrap_or_default();
    let by_id: HashMap<&str, &Value> =
        nodes.iter().filter_map(|node| Some((node["nodeId"].as_str()?, node))).collect();
    let mut text = String::new();
    if let Some(root) = nodes.first() {
        write_node(root, &by_id, 0, "", &mut text);
    }
    text
}

fn write_node(
    node: &Value,
    by_id: &HashMap<&str, &Value>,
    depth: usize,
    name_above: &str,
    text: &mut String,
) {
    let role = node["role"]["value"].as_str().unwrap_or_default();
    let name = node["name"]["value"].as_str().unwrap_or_default().trim();
    let shown = node["ignored"] != true
        && match role {
            "InlineTextBox" => false,
            // A heading's text node repeats the heading's own name.
            "StaticText" => !name.is_empty() && name != name_above,
            _ => !(name.is_empty() && SILENT.contains(&role)),
        };
    if shown {
        text.push_str(&"  ".repeat(depth));
        text.push_str(&line(node, role, name));
        text.push('\n');
    }
    let (depth, name_above) = if shown { (depth + 1, name) } else { (depth, name_above) };
    let children = node["childIds"].as_array().map(Vec::as_slice).unwrap_or_default();
    for child in children.iter().filter_map(|id| by_id.get(id.as_str()?)) {
        write_node(child, by_id, depth, name_above, text);
    }
}

fn line(node: &Value, role: &str, name: &str) -> String {
    let mut line = format!("- {}", if role == "StaticText" { "text" } else { role });
    if !name.is_empty() {
        line.push_str(&format!(" \"{name}\""));
    }
    let value = &node["value"]["value"];
    if !value.is_null() && value != "" {
        line.push_str(&format!(" = {}", plain(value)));
    }
    let properties = node["properties"].as_array().map(Vec::as_slice).unwrap_or_default();
    for state in STATES {
        let found = properties.iter().find(|property| property["name"] == state);
        let value = found.map_or(&Value::Null, |property| &property["value"]["value"]);
        let says_no = value.is_null() || *value == false || *value == "false";
        if !says_no {
            line.push_str(&format!(" [{state}: {}]", plain(value)));
        }
    }
    let description = node["description"]["value"].as_str().unwrap_or_default();
    if !description.is_empty() {
        line.push_str(&format!(" ({description})"));
    }
    line
}

fn plain(value: &Value) -> String {
    value.as_str().map_or_else(|| value.to_string(), str::to_owned)
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::written;

    #[test]
    fn silent_nodes_are_lifted_and_repeated_text_is_left_out() {
        let tree = json!({ "nodes": [
            { "nodeId": "1", "role": {"value": "RootWebArea"}, "name": {"value": "Now"},
              "childIds": ["2"] },
            { "nodeId": "2", "role": {"value": "generic"}, "childIds": ["3", "5"] },
            { "nodeId": "3", "role": {"value": "heading"}, "name": {"value": "Output"},
              "properties": [{"name": "level", "value": {"value": 1}}], "childIds": ["4"] },
            { "nodeId": "4", "role": {"value": "StaticText"}, "name": {"value": "Output"} },
            { "nodeId": "5", "role": {"value": "textbox"}, "name": {"value": "Jacket in, °C"},
              "value": {"value": "82.4"},
              "properties": [{"name": "invalid", "value": {"value": "true"}}] },
        ]});
        assert_eq!(
            written(&tree),
            "- RootWebArea \"Now\"\n  - heading \"Output\" [level: 1]\n  \
             - textbox \"Jacket in, °C\" = 82.4 [invalid: true]\n"
        );
    }
}
