//! The JSON Schema of the song file, from types that mirror it.

/// placeholder until the mirror types are in
pub fn schema_json() -> String {
    String::new()
}
