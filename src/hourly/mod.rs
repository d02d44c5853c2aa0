//! One hour of weather in, one hour of electrical state out; the loop over a record.
