#!/usr/bin/env python3
"""Recomputes the reference values of this folder with pvlib, a general-purpose photovoltaics library.

    python3 generate.py            compare: every output column must come out as printed
    python3 generate.py --write    write the output columns again

Needs pvlib 0.16.1, pandas 3.1.1, numpy 2.4.6, scipy 1.17.1. The input columns of a family are a random sample that was
drawn once; they stay as they are. Family g is built from the typical year that pvlib ships (723170TYA.CSV, public
domain). Angles deg, azimuth from north clockwise, longitude east positive, W/m2, C, V, A.
"""
import io
import os
import sys
import warnings

import numpy as np
import pandas as pd
import pvlib
from pvlib import atmosphere, clearsky, irradiance, pvsystem, solarposition, spa, temperature

HERE = os.path.dirname(os.path.abspath(__file__))
WRITE = "--write" in sys.argv


def read(name):
    with open(os.path.join(HERE, name)) as file:
        lines = file.readlines()
    comments = [line for line in lines if line.startswith("#")]
    rows = [line for line in lines if not line.startswith("#")]
    return comments, pd.read_csv(io.StringIO("".join(rows)))


def finish(name, comments, table, outputs, digits=9):
    """Compares or writes the output columns, printed with `digits` significant digits."""
    for column, values in outputs.items():
        values = np.asarray(values, dtype=float)
        printed = np.array([float(f"{v:.{digits}g}") if np.isfinite(v) else np.nan for v in values])
        if WRITE:
            table[column] = printed
            continue
        old = table[column].to_numpy(dtype=float)
        # One unit of the last printed digit, for libraries of another machine.
        unit = 10.0 ** (np.floor(np.log10(np.maximum(np.abs(old), 1e-12))) - (digits - 1))
        apart = np.abs(old - printed) > 2 * unit + 1e-12
        apart |= np.isnan(old) != np.isnan(printed)
        if apart.any():
            row = int(np.argmax(apart))
            sys.exit(f"{name}: {column} row {row}: {old[row]!r} printed, {values[row]!r} computed")
    if WRITE:
        with open(os.path.join(HERE, name), "w") as file:
            file.writelines(comments)
            table.to_csv(file, index=False, lineterminator="\n", float_format="%.10g")
    print(f"{name}: {len(table)} rows, {', '.join(outputs)}")


def family_a():
    comments, table = read("a_solar_position.csv")
    rows = []
    for row in table.itertuples():
        time = pd.DatetimeIndex([row.time_utc])
        delta_t = spa.calculate_deltat(time[0].year, time[0].month)
        sun = solarposition.spa_python(time, row.latitude_deg, row.longitude_deg, altitude=row.altitude_m,
                                       pressure=atmosphere.alt2pres(row.altitude_m), temperature=row.temp_c,
                                       delta_t=delta_t, atmos_refract=0.5667)
        distance = solarposition.nrel_earthsun_distance(time, delta_t=delta_t).iloc[0]
        rows.append((atmosphere.alt2pres(row.altitude_m), sun["zenith"].iloc[0], sun["apparent_zenith"].iloc[0],
                     sun["azimuth"].iloc[0], distance, 1361.0 / distance**2))
    names = ["pressure_pa", "zenith_deg", "apparent_zenith_deg", "azimuth_deg", "earth_sun_au", "dni_extra_wm2"]
    finish("a_solar_position.csv", comments, table, dict(zip(names, np.array(rows).T)))


def family_a2():
    comments, table = read("a2_hour_mean.csv")
    rows = []
    for row in table.itertuples():
        start = pd.Timestamp(row.hour_start_utc)
        times = pd.DatetimeIndex([start + pd.Timedelta(seconds=30 + 60 * m) for m in range(60)]
                                 + [start + pd.Timedelta(minutes=30)])
        zenith = solarposition.spa_python(times, row.latitude_deg, row.longitude_deg, delta_t=69)["zenith"].to_numpy()
        cosine = np.cos(np.radians(zenith))
        rows.append((np.maximum(cosine[:60], 0).mean(), (zenith[:60] < 90).mean(), cosine[60], zenith[60]))
    names = ["mean_max_cosz_0", "sunup_fraction", "cosz_mid", "zenith_mid_deg"]
    finish("a2_hour_mean.csv", comments, table, dict(zip(names, np.array(rows).T)), digits=8)


def family_b():
    comments, table = read("b_clear_sky.csv")
    zenith = table.apparent_zenith_deg
    relative = atmosphere.get_relative_airmass(zenith, "kastenyoung1989")
    pressure = atmosphere.alt2pres(table.altitude_m)
    absolute = atmosphere.get_absolute_airmass(relative, pressure)
    extra = irradiance.get_extra_radiation(table.doy, method="spencer", solar_constant=1361.0)
    plain = clearsky.ineichen(zenith, absolute, table.linke_turbidity, table.altitude_m, dni_extra=extra,
                              perez_enhancement=False)
    enhanced = clearsky.ineichen(zenith, absolute, table.linke_turbidity, table.altitude_m, dni_extra=extra,
                                 perez_enhancement=True)
    haurwitz = clearsky.haurwitz(zenith)["ghi"]
    finish("b_clear_sky.csv", comments, table, {
        "pressure_pa": pressure, "airmass_rel": relative, "airmass_abs": absolute, "dni_extra_wm2": extra,
        "ineichen_ghi": plain["ghi"], "ineichen_dni": plain["dni"], "ineichen_dhi": plain["dhi"],
        "enhanced_ghi": enhanced["ghi"], "enhanced_dni": enhanced["dni"], "enhanced_dhi": enhanced["dhi"],
        "haurwitz_ghi": haurwitz})


def family_c():
    comments, table = read("c_split_and_plane.csv")
    extra = irradiance.get_extra_radiation(table.doy, method="spencer", solar_constant=1361.0)
    erbs = irradiance.erbs(table.ghi_in, table.zenith_deg, table.doy)
    incidence = irradiance.aoi(table.tilt_deg, table.surface_azimuth_deg, table.zenith_deg, table.sun_azimuth_deg)
    sky = irradiance.haydavies(table.tilt_deg, table.surface_azimuth_deg, table.dhi_in, table.dni_in, extra,
                               table.zenith_deg, table.sun_azimuth_deg)
    ground = irradiance.get_ground_diffuse(table.tilt_deg, table.ghi_closed, table.albedo)
    beam = table.dni_in * np.maximum(np.cos(np.radians(incidence)), 0)
    finish("c_split_and_plane.csv", comments, table, {
        "dni_extra_wm2": extra, "erbs_extra_wm2": irradiance.get_extra_radiation(table.doy),
        "erbs_kt": erbs["kt"], "erbs_dni": erbs["dni"], "erbs_dhi": erbs["dhi"], "aoi_deg": incidence,
        "poa_beam": beam, "sky_haydavies": sky, "ground": ground, "poa_haydavies": beam + sky + ground})


def family_d():
    comments, table = read("d_cell_temperature.csv")
    outputs = {"faiman": temperature.faiman(table.poa, table.temp_air, table.wind, 25, 6.84),
               "faiman_u0_15_u1_4": temperature.faiman(table.poa, table.temp_air, table.wind, 15, 4)}
    for mount, coefficients in temperature.TEMPERATURE_MODEL_PARAMETERS["sapm"].items():
        outputs[f"sapm_cell_{mount}"] = temperature.sapm_cell(table.poa, table.temp_air, table.wind, **coefficients)
    finish("d_cell_temperature.csv", comments, table, outputs)


def family_e():
    modules = read("e_modules.csv")[1].set_index("module")
    comments, table = read("e_grid.csv")
    chosen = modules.loc[table.module]
    beta = (chosen.beta_voc_v_per_k / chosen.voc).to_numpy()
    alpha = (chosen.alpha_sc_a_per_k / chosen.isc).to_numpy()
    kelvin = table.tc + 273.15
    label_voc = (chosen.voc.to_numpy() * (1 + beta * (table.tc - 25))
                 + chosen.cells_series_electrical.to_numpy() * 8.617333262e-5 * kelvin * np.log(table.g / 1000))
    label_isc = chosen.isc.to_numpy() * table.g / 1000 * (1 + alpha * (table.tc - 25))
    parameters = pvsystem.calcparams_desoto(
        table.g.to_numpy(dtype=float), table.tc.to_numpy(dtype=float), chosen.alpha_sc_a_per_k.to_numpy(),
        chosen.fit_a_ref.to_numpy(), chosen.fit_I_L_ref.to_numpy(), chosen.fit_I_o_ref.to_numpy(),
        chosen.fit_R_sh_ref.to_numpy(), chosen.fit_R_s.to_numpy())
    diode = pvsystem.singlediode(*parameters)
    finish("e_grid.csv", comments, table, {
        "label_voc": label_voc, "label_isc": label_isc, "fit_voc": diode["v_oc"], "fit_isc": diode["i_sc"],
        "fit_vmp": diode["v_mp"], "fit_imp": diode["i_mp"]}, digits=7)


def family_f():
    modules = read("f_modules.csv")[1].set_index("module")
    comments, table = read("f_grid.csv")
    outputs = {"voc": [], "isc": [], "vmp": [], "imp": []}
    for row in table.itertuples():
        result = pvsystem.sapm(row.ee, row.tc, modules.loc[row.module])
        for name, key in (("voc", "v_oc"), ("isc", "i_sc"), ("vmp", "v_mp"), ("imp", "i_mp")):
            outputs[name].append(float(result[key]))
    finish("f_grid.csv", comments, table, outputs, digits=7)


def family_d2():
    comments, table = read("d2_transient.csv")
    heat = temperature.TEMPERATURE_MODEL_PARAMETERS["sapm"]["insulated_back_glass_polymer"]
    steady, moving = [], []
    for _, case in table.groupby("case", sort=False):
        times = pd.date_range("2030-01-01", periods=len(case), freq="1min")
        rise = pd.Series(temperature.sapm_cell(case.poa, case.temp_air, case.wind, **heat).to_numpy(), index=times)
        wind = pd.Series(case.wind.to_numpy(), index=times)
        steady.extend(rise)
        moving.extend(temperature.prilliman(rise, wind, unit_mass=float(case.unit_mass.iloc[0])))
    finish("d2_transient.csv", comments, table, {"t_steady": steady, "t_prilliman": moving})


def family_g():
    comments, _ = read("g_typical_year.csv")
    path = os.path.join(os.path.dirname(pvlib.__file__), "data", "723170TYA.CSV")
    data, meta = pvlib.iotools.read_tmy3(path, coerce_year=1990)
    stamps = data.index - pd.Timedelta(minutes=30)
    sun = solarposition.spa_python(stamps, meta["latitude"], meta["longitude"], altitude=meta["altitude"],
                                   pressure=data["pressure"].mean() * 100, temperature=data["temp_air"].mean(),
                                   delta_t=57)
    distance = solarposition.nrel_earthsun_distance(stamps, delta_t=57).to_numpy()
    extra = 1361.0 / distance**2
    zenith = sun["apparent_zenith"].to_numpy()
    azimuth = sun["azimuth"].to_numpy()
    ghi, dni, dhi = (data[name].to_numpy(dtype=float) for name in ("ghi", "dni", "dhi"))
    air, wind = data["temp_air"].to_numpy(dtype=float), data["wind_speed"].to_numpy(dtype=float)
    columns = {"middle_utc": stamps.tz_convert("UTC").strftime("%Y-%m-%dT%H:%M:%SZ"), "ghi": ghi, "dni": dni,
               "dhi": dhi, "ta": air, "ws": wind, "zen": zenith, "az": azimuth, "extra": extra}
    insulated = temperature.TEMPERATURE_MODEL_PARAMETERS["sapm"]["insulated_back_glass_polymer"]
    for tilt in (0, 30):
        incidence = irradiance.aoi(tilt, 180, zenith, azimuth)
        cosine = np.maximum(np.cos(np.radians(incidence)), 0)
        beam = np.where(zenith < 90, dni * cosine, 0)
        ratio = cosine / np.maximum(np.cos(np.radians(zenith)), 0.01745)
        anisotropy = dni / extra
        sky = dhi * (anisotropy * ratio + (1 - anisotropy) * 0.5 * (1 + np.cos(np.radians(tilt))))
        ground = irradiance.get_ground_diffuse(tilt, ghi, 0.2)
        plane = beam + sky + ground
        columns[f"poa{tilt}"] = plane
        columns[f"tc{tilt}"] = temperature.sapm_cell(plane, air, wind, **insulated)
        columns[f"faiman{tilt}"] = temperature.faiman(plane, air, wind, 25, 6.84)
    table = pd.DataFrame(columns)
    # Every third day, the hours with light: enough, and a third of the bytes.
    day = (stamps.tz_localize(None) - pd.Timestamp("1990-01-01")).days
    table = table[(day % 3 == 0) & (ghi > 0)].reset_index(drop=True)
    numbers = {name: table[name].to_numpy() for name in table.columns if name != "middle_utc"}
    if WRITE:
        finish("g_typical_year.csv", comments, table, numbers, digits=8)
    else:
        finish("g_typical_year.csv", comments, read("g_typical_year.csv")[1], numbers, digits=8)


if __name__ == "__main__":
    warnings.simplefilter("ignore")
    print(f"pvlib {pvlib.__version__}, pandas {pd.__version__}, numpy {np.__version__}")
    for family in (family_a, family_a2, family_b, family_c, family_d, family_d2, family_e, family_f, family_g):
        family()
