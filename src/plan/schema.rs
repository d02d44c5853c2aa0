//! The plan file as serde sees it: every key once, all optional here. What must be there, and in which range, is said
//! in [`super::keys`]; the two lists of names are compared by a test.

use super::given::{Coefficient, Day, Given, ModuleNames, NumberOrWord};
use serde::Deserialize;
use toml::Spanned;

#[derive(Deserialize)]
pub(super) struct PlanFile {
    pub title: Option<Given<String>>,
    pub prepared_for: Option<Given<String>>,
    pub prepared_by: Option<Given<String>>,
    pub date: Option<Given<String>>,
    pub rules: Option<Given<String>>,
    #[serde(default)]
    pub module: Vec<Spanned<ModuleTable>>,
    #[serde(default)]
    pub string: Vec<Spanned<StringTable>>,
    pub battery: Option<Spanned<BatteryTable>>,
    #[serde(default)]
    pub component: Vec<Spanned<ComponentTable>>,
    #[serde(default)]
    pub stop: Vec<Spanned<StopTable>>,
    pub assumptions: Option<Spanned<AssumptionsTable>>,
}

#[derive(Deserialize)]
pub(super) struct ModuleTable {
    pub id: Option<Given<String>>,
    pub voc_v: Option<Given<f64>>,
    pub isc_a: Option<Given<f64>>,
    pub vmp_v: Option<Given<f64>>,
    pub imp_a: Option<Given<f64>>,
    pub cells_in_series: Option<Given<u32>>,
    pub technology: Option<Given<String>>,
    pub voc_temp_coeff: Option<Given<Coefficient>>,
    pub isc_temp_coeff: Option<Given<Coefficient>>,
    pub max_series_fuse_a: Option<Given<f64>>,
    pub max_system_v: Option<Given<f64>>,
    pub voc_tolerance_percent: Option<Given<f64>>,
    pub bifacial: Option<Given<f64>>,
}

#[derive(Deserialize)]
pub(super) struct StringTable {
    pub array: Option<Given<String>>,
    pub modules: Option<Given<ModuleNames>>,
    pub in_series: Option<Given<u32>>,
    pub in_parallel: Option<Given<u32>>,
    pub mount: Option<Given<String>>,
    pub tilt_deg: Option<Given<NumberOrWord>>,
    pub heading: Option<Given<NumberOrWord>>,
    pub snow_ground: Option<Given<bool>>,
}

#[derive(Deserialize)]
pub(super) struct BatteryTable {
    pub chemistry: Option<Given<String>>,
    pub nominal_v: Option<Given<f64>>,
    pub charge_v: Option<Given<f64>>,
}

#[derive(Deserialize)]
pub(super) struct ComponentTable {
    pub kind: Option<Given<String>>,
    pub array: Option<Given<String>>,
    pub name: Option<Given<String>>,
    pub carries: Option<Given<String>>,
    pub max_v: Option<Given<f64>>,
    pub rated_a: Option<Given<f64>>,
    pub poles_opened: Option<Given<u32>>,
    pub polarised: Option<Given<bool>>,
    pub load_break: Option<Given<bool>>,
    pub max_v_per_pole: Option<Given<f64>>,
    pub poles_in_series: Option<Given<u32>>,
    pub max_v_ac: Option<Given<f64>>,
    pub continuous_100_percent: Option<Given<bool>>,
    pub max_operating_v: Option<Given<f64>>,
    pub max_isc_a: Option<Given<f64>>,
    pub max_charge_a: Option<Given<f64>>,
    pub start_above_battery_v: Option<Given<f64>>,
    pub run_above_battery_v: Option<Given<f64>>,
    #[serde(rename = "type")]
    pub kind_of_controller: Option<Given<String>>,
    pub mm2: Option<Given<f64>>,
    pub awg: Option<Given<u32>>,
    pub insulation_c: Option<Given<f64>>,
    pub ambient_c: Option<Given<f64>>,
    pub ambient_f: Option<Given<f64>>,
}

#[derive(Deserialize)]
pub(super) struct StopTable {
    pub place: Option<Given<String>>,
    pub weather: Option<Given<Vec<String>>>,
    pub arrive: Option<Given<Day>>,
    pub leave: Option<Given<Day>>,
    pub elevation_m: Option<Given<f64>>,
    pub elevation_ft: Option<Given<f64>>,
    pub station_elevation_m: Option<Given<f64>>,
    pub latitude_deg: Option<Given<f64>>,
    pub longitude_deg: Option<Given<f64>>,
    pub utc_offset: Option<Given<String>>,
    pub code_temperature: Option<Given<f64>>,
    pub published_low_c: Option<Spanned<PublishedTable>>,
    pub columns: Option<Spanned<ColumnsTable>>,
}

#[derive(Deserialize)]
pub(super) struct PublishedTable {
    pub mean: Option<Given<f64>>,
    pub sd: Option<Given<f64>>,
    pub source: Option<Given<String>>,
}

#[derive(Deserialize)]
pub(super) struct ColumnsTable {
    pub time: Option<Given<Vec<String>>>,
    pub time_format: Option<Given<String>>,
    pub utc_offset: Option<Given<String>>,
    pub air: Option<Given<String>>,
    pub air_unit: Option<Given<String>>,
    pub ghi: Option<Given<String>>,
    pub dni: Option<Given<String>>,
    pub dhi: Option<Given<String>>,
    pub wind: Option<Given<String>>,
    pub wind_unit: Option<Given<String>>,
    pub cloud: Option<Given<String>>,
    pub cloud_unit: Option<Given<String>>,
    pub label: Option<Given<String>>,
    pub station_column: Option<Given<String>>,
    pub station: Option<Given<String>>,
    pub delimiter: Option<Given<String>>,
    pub decimal: Option<Given<String>>,
}

#[derive(Deserialize)]
pub(super) struct AssumptionsTable {
    pub code_temperature: Option<Given<NumberOrWord>>,
    pub return_years: Option<Given<f64>>,
    pub sky_cooling_k: Option<Given<f64>>,
    pub linke_turbidity: Option<Given<f64>>,
    pub array_earthed: Option<Given<bool>>,
    pub touch_limit_v: Option<Given<f64>>,
}

#[cfg(test)]
pub(super) mod names {
    //! The names of a struct's fields as serde knows them.

    use serde::de::{Deserialize, Deserializer, Visitor, value::Error};
    use serde::forward_to_deserialize_any;

    struct Names<'a>(&'a mut Vec<&'static str>);

    impl<'de> Deserializer<'de> for Names<'_> {
        type Error = Error;

        fn deserialize_any<V: Visitor<'de>>(self, _: V) -> Result<V::Value, Error> {
            Err(serde::de::Error::custom("only names are wanted"))
        }

        fn deserialize_struct<V: Visitor<'de>>(
            self,
            _: &'static str,
            fields: &'static [&'static str],
            visitor: V,
        ) -> Result<V::Value, Error> {
            self.0.extend_from_slice(fields);
            self.deserialize_any(visitor)
        }

        forward_to_deserialize_any! {
            bool i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 char str string bytes byte_buf option unit
            unit_struct newtype_struct seq tuple tuple_struct map enum identifier ignored_any
        }
    }

    /// The keys that `T` reads.
    pub fn of<'de, T: Deserialize<'de>>() -> Vec<&'static str> {
        let mut names = Vec::new();
        let read = T::deserialize(Names(&mut names));
        assert!(read.is_err());
        names
    }
}
