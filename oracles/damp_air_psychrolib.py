"""Reference saturation pressures and dew points by an independent psychrometrics library (psychrolib).

Writes crates/fabric/tests/reference/damp_air.csv: temperature in °C, relative humidity 0 to 1, saturation pressure in Pa,
dew point in °C.

    python -m pip install psychrolib && python oracles/damp_air_psychrolib.py
"""

import importlib.metadata
import pathlib

import psychrolib


def main():
    psychrolib.SetUnitSystem(psychrolib.SI)
    target = pathlib.Path(__file__).parents[1] / "crates/fabric/tests/reference/damp_air.csv"
    target.parent.mkdir(parents=True, exist_ok=True)
    with target.open("w", newline="") as file:
        version = importlib.metadata.version("psychrolib")
        file.write(f"# source: psychrolib {version}, oracles/damp_air_psychrolib.py\n")
        file.write("temperature_c,humidity,saturation_pa,dew_point_c\n")
        for temperature in range(-20, 41, 4):
            for humidity in (0.3, 0.5, 0.7, 0.9):
                saturation = psychrolib.GetSatVapPres(float(temperature))
                dew = psychrolib.GetTDewPointFromRelHum(float(temperature), humidity)
                file.write(f"{temperature},{humidity},{saturation:.6f},{dew:.6f}\n")


if __name__ == "__main__":
    main()
