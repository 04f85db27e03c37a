//! Where numbers come from, as JSON.

use bendproof_traveler::origin::Origin;
use serde_json::{Value, json};

/// `{"field":{"source","basis"}}`, as JSON tells it.
pub fn sources_json(origins: &[Origin]) -> Value {
    let one = |o: &Origin| (o.field.to_owned(), json!({ "source": o.source, "basis": o.basis.word() }));
    Value::Object(origins.iter().map(one).collect())
}
