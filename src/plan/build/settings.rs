//! `[assumptions]` and `rules`.

use crate::assumptions::{Assumptions, CodeTemperature, Rules};
use crate::plan::draft::{Draft, Owner};
use crate::plan::given::Given;
use crate::plan::keys::{ASSUMPTIONS, PLAN};
use crate::plan::schema::AssumptionsTable;
use crate::units::{Celsius, Volts};
use toml::Spanned;

/// The settings of the analysis, with the defaults of [`Assumptions`] where the plan is silent.
pub fn assumptions(
    table: Option<Spanned<AssumptionsTable>>,
    rules: Rules,
    draft: &mut Draft<'_>,
) -> Assumptions {
    let default = Assumptions { rules, ..Assumptions::default() };
    let Some(table) = table else { return default };
    let owner = Owner { table: &ASSUMPTIONS, name: ASSUMPTIONS.header.to_owned(), span: table.span() };
    let table = table.into_inner();
    let code_temperature = match draft.number_or_word(table.code_temperature, "code_temperature", &owner) {
        Some(Ok(celsius)) => CodeTemperature::Fixed(Celsius(celsius)),
        Some(Err("record-low")) => CodeTemperature::RecordLow,
        Some(Err("20-year-low")) => CodeTemperature::TwentyYearLow,
        Some(Err(_)) => CodeTemperature::MeanAnnualLow,
        None => default.code_temperature,
    };
    Assumptions {
        code_temperature,
        return_years: draft
            .number(table.return_years, "return_years", &owner)
            .unwrap_or(default.return_years),
        sky_cooling_k: draft.number(table.sky_cooling_k, "sky_cooling_k", &owner),
        linke_turbidity: draft.number(table.linke_turbidity, "linke_turbidity", &owner),
        array_earthed: draft
            .plain(table.array_earthed, "array_earthed", &owner)
            .unwrap_or(default.array_earthed),
        touch_limit: draft.number(table.touch_limit_v, "touch_limit_v", &owner).map(Volts),
        rules,
    }
}

/// Which rules the report cites.
pub fn rules(given: Option<Given<String>>, draft: &mut Draft<'_>) -> Rules {
    let owner = Owner { table: &PLAN, name: PLAN.header.to_owned(), span: 0..0 };
    match draft.word(given, "rules", &owner) {
        Some("nec-2023") => Rules::Nec2023,
        Some("iec") => Rules::Iec,
        Some("as-nzs") => Rules::AsNzs,
        _ => Rules::All,
    }
}
