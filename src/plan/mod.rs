//! The plan file: schema, defaults, messages.
