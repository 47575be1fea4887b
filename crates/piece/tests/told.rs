//! Hints of complaints, which stand in the schemas in English, are told in the language of who reads them.

use language::Language;
use piece::Complaints;
use serde_json::Value;
use std::collections::BTreeSet;

/// The first sentence of every description of a key, and of the rows of every list.
fn hints(schema: &Value, found: &mut BTreeSet<String>) {
    let described = |schema: &Value| {
        let words = schema["description"].as_str()?;
        Some(words.split(". ").next()?.trim_end_matches('.').replace('\n', " "))
    };
    let keys = schema["properties"].as_object().into_iter().flatten().map(|(_, key)| key);
    for key in keys.chain(schema.get("items")) {
        found.extend(described(key));
        hints(key, found);
    }
}

#[test]
fn every_hint_of_a_schema_is_in_the_catalogue() {
    let mut found = BTreeSet::new();
    hints(&piece::schema::piece(), &mut found);
    hints(&piece::schema::shop(), &mut found);
    assert!(found.len() > 200, "{}", found.len());
    let told = |hint: &String| Language::German.scope(|| language::told(hint) != hint);
    let english: Vec<&String> = found.iter().filter(|hint| !told(hint)).collect();
    assert!(english.is_empty(), "{} of {}: {english:#?}", english.len(), found.len());
}

#[test]
fn a_complaint_in_german_has_no_english_left() {
    let shop = |text: &str| Language::German.scope(|| fault(piece::read_shop(text, "shop.toml").map(drop)));
    let missing = shop("sabulo = \"shop 1\"\nname = \"x\"\n");
    assert!(missing.contains("(Der Schlauch vom Druckregler zur Düse)"), "{missing}");
    let wrong = shop("sabulo = \"shop 1\"\nname = 7\n");
    assert!(wrong.contains("(Der Name der Werkstatt, wie ihn das Arbeitsblatt druckt)"), "{wrong}");
    let broken = shop("name = \"x");
    assert!(broken.contains("shop.toml:1:") && broken.contains("nicht geschlossen"), "{broken}");
}

fn fault(read: Result<(), Complaints>) -> String {
    read.unwrap_err().to_string()
}
