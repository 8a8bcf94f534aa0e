import {
  anyQuantityField,
  anySpanField,
  block,
  choiceField,
  exactlyOne,
  fileField,
  listOf,
  numberField,
  oneOf,
  quantityField,
  spanField,
  textLineField,
  uncertainField,
  unitField,
  wholeField,
} from "../fields.js";
import { headerField } from "../header-field.js";

/**
 * Shape of the swap document. Where a wrong default would give a plausible wrong table, the key is required; keys that
 * may be left out only leave results out.
 */
export function swapSchema() {
  const housing = () =>
    block(
      {
        bore: uncertainField("length", {
          about: "Inner diameter where the element sits.",
          example: "70 mm ± 0.1 mm",
          range: { over: 0, to: 0.5 },
        }).optional(),
        width: uncertainField("length", {
          about: "Inner width of a rectangular duct.",
          example: "80 mm ± 0.2 mm",
          range: { over: 0, to: 0.5 },
        }).optional(),
        height: uncertainField("length", {
          about: "Inner height of a rectangular duct.",
          example: "60 mm ± 0.2 mm",
          range: { over: 0, to: 0.5 },
        }).optional(),
        area: uncertainField("area", {
          about: "Inner area of a duct of another shape.",
          example: "4200 mm^2 ± 40 mm^2",
          range: { over: 0, to: 0.2 },
        }).optional(),
        perimeter: uncertainField("length", {
          about: "Inner perimeter of a duct of another shape.",
          example: "250 mm ± 1 mm",
          range: { over: 0, to: 2 },
        }).optional(),
        blockage: uncertainField("area", {
          about:
            "Area that the probe and its holder take out of the duct; 0 mm^2 when the size given is the open one.",
          example: "520 mm^2 ± 30 mm^2",
          range: { from: 0, to: 0.2 },
        }),
        element: spanField("ratio", {
          about:
            "Where the element sits, as radius over duct radius: 0 the axis, 1 the wall; a span when it covers one.",
          example: "0 .. 0.3",
          range: { from: 0, to: 1 },
        }),
        development: uncertainField("ratio", {
          about:
            "How far the velocity profile has developed: 0 flat (short inlet, straightener), 1 as in a long pipe. Short inlets lie between; say how unsure you are.",
          example: "0.3 ± 0.2",
          range: { from: 0, to: 1 },
        }),
      },
      "Duct around the element.",
    ).check(exactlyOne([["bore"], ["width", "height"], ["area", "perimeter"]]));

  const accuracy = () =>
    quantityField("ratio", {
      about: "One standard uncertainty of the table's flows, relative.",
      example: "2 %",
      range: { from: 0, to: 0.3 },
      percent: true,
    });
  const meter = {
    signal: choiceField(["frequency", "voltage"], "What the sensor puts out."),
    table: fileField("CSV with columns signal [Hz or V] and airflow [g/s, …].", "present-airflow.csv"),
    accuracy: accuracy(),
    range: anySpanField(["frequency", "voltage"], {
      about: "Signals that the sensor itself can put out.",
      example: "30 Hz .. 12 kHz",
      range: { from: 0 },
    }).optional(),
  };
  const day = {
    temperature: quantityField("temperature", {
      about: "Outside air.",
      example: "20 degC",
      range: { from: 200, to: 345 },
    }),
    pressure: quantityField("pressure", {
      about: "Outside air, absolute: the barometer at your altitude, not reduced to sea level.",
      example: "98.5 kPa absolute",
      range: { from: 40_000, to: 110_000 },
    }),
    humidity: quantityField("ratio", {
      about:
        "Relative humidity; dry air (the densest, so headroom is judged on the safe side) when left out.",
      example: "60 %",
      range: { from: 0, to: 1 },
      percent: true,
    }).optional(),
  };
  const outside = choiceField(
    ["hold", "extend"],
    "What the ECU does beyond the table's ends: hold the last value, or carry the last line on.",
  );
  const fit = choiceField(
    ["minimax", "sample"],
    "minimax: breakpoint values that make the ECU's straight lines fit the curve; sample: values of the curve.",
  );
  const flow = (about: string, example: string) =>
    uncertainField("mass flow", { about, example, range: { over: 0, to: 5 } });
  const engineKeys = {
    displacement: quantityField("volume", {
      about: "Swept volume of all cylinders.",
      example: "2.2 L",
      range: { over: 0, to: 0.03 },
    }).optional(),
    strokes: wholeField("Strokes of a cycle: 4 or 2.", 2, 4)
      .refine((strokes) => strokes !== 3, { error: "4 or 2" })
      .optional(),
    speed: quantityField("rotational speed", {
      about: "Engine speed of the demand.",
      example: "6500 rpm",
      range: { over: 0, to: 400 },
    }).optional(),
    "volumetric-efficiency": uncertainField("ratio", {
      about: "Air taken in over displacement at manifold density.",
      example: "95 % ± 3 %",
      range: { from: 0.1, to: 1.5 },
    }).optional(),
    "manifold-pressure": quantityField("pressure", {
      about: "Absolute; the day's pressure when left out: no restriction and no boost.",
      example: "180 kPa absolute",
      range: { over: 0, to: 600_000 },
    }).optional(),
    "charge-temperature": quantityField("temperature", {
      about: "Air at the intake ports; the day's temperature when left out.",
      example: "45 degC",
      range: { from: 200, to: 450 },
    }).optional(),
  };
  const axisFile = () =>
    block({ file: fileField("CSV with the breakpoints in one column.", "ecu-axis.csv") });
  const steps = <T extends ReturnType<typeof signal>>(end: () => T) =>
    block({ from: end(), to: end(), count: wholeField("Number of breakpoints.", 2, 4096) });
  const signal = (about: string, example: string) =>
    anyQuantityField(["frequency", "voltage"], { about, example, range: { from: 0 } });
  const axisSignal = () => signal("A breakpoint.", "2 kHz");
  const elementSide = (about: string, example: string) =>
    anyQuantityField(["temperature", "voltage", "count", "resistance"], { about, example });
  const element = () =>
    block({
      points: fileField(
        "CSV with columns temperature [degC, …] and resistance [ohm, …].",
        "new-element.csv",
      ).optional(),
      coefficients: block({
        a: numberField("1/K", -1, 1),
        b: numberField("1/K", -1, 1),
        c: numberField("1/K", -1, 1),
      })
        .meta({ description: "Steinhart-Hart: 1/T = a + b ln R + c (ln R)^3 with T in K, R in ohm." })
        .optional(),
      beta: block({
        resistance: quantityField("resistance", {
          about: "At the reference temperature.",
          example: "2.5 kohm",
          range: { over: 0 },
        }),
        at: quantityField("temperature", { about: "Reference temperature.", example: "20 degC" }),
        beta: quantityField("temperature difference", {
          about: "Material constant.",
          example: "3500 K",
          range: { over: 0, to: 10_000 },
        }),
      }).optional(),
      accuracy: quantityField("temperature difference", {
        about: "One standard uncertainty of the temperature the element means.",
        example: "0.5 K",
        range: { from: 0, to: 20 },
      }),
    }).check(exactlyOne([["points"], ["coefficients"], ["beta"]]));

  return block({
    bellmouth: headerField("swap", 1),
    title: textLineField("Names the job in results."),
    present: block({ ...meter, housing: housing() }, "What the engine is calibrated for today."),
    new: block(
      {
        source: choiceField(
          ["same-element", "donor"],
          "Which element sits in the new housing: the present one, or another car's.",
        ),
        housing: housing(),
        donor: block({
          ...meter,
          housing: oneOf(
            [choiceField(["new"], "The donor's table already holds for the new housing."), housing()],
            "'new' when the donor's table already holds for the new housing, else the housing it holds for",
          ),
        }).optional(),
      },
      "What will be fitted.",
    ),
    air: block(day, "Air that flows are rescaled at: its viscosity sets the velocity profile."),
    ecu: block({
      airflow: block({
        axis: oneOf(
          [
            choiceField(["as-present"], "The signals of the present table."),
            axisFile(),
            steps(axisSignal),
            listOf(axisSignal(), "Breakpoints.", 2, 4096),
          ],
          "'as-present', a block with file, a block with from, to and count, or a list of signals",
        ),
        outside,
        capture: block({
          from: signal("Least signal the input measures.", "20 Hz"),
          to: signal("Greatest signal the input measures.", "12 kHz"),
          bits: wholeField("Bits of the converter over from..to (voltages).", 4, 24).optional(),
          tick: quantityField("time", {
            about: "Tick of the timer that measures the period (frequencies).",
            example: "1 us",
            range: { over: 0, to: 1e-3 },
          }).optional(),
          step: signal("Step of the measured signal.", "5 mV").optional(),
        }).optional(),
        storage: oneOf(
          [
            choiceField(["none"], "Flows are stored as they are, without rounding or limits."),
            block({
              step: quantityField("mass flow", {
                about: "Smallest step of a stored flow.",
                example: "0.01 g/s",
                range: { over: 0 },
              }),
              from: quantityField("mass flow", { about: "Least stored flow.", example: "0 g/s" }),
              to: quantityField("mass flow", { about: "Greatest stored flow.", example: "655.35 g/s" }),
            }),
          ],
          "'none', or a block with step, from and to",
        ),
        fit,
        unit: unitField("mass flow", "Unit of the written flows.", "g/s"),
        "signal-unit": textLineField("Unit of the written signals; Hz or V when left out.", 20).optional(),
      }),
      temperature: block({
        direction: choiceField(
          ["signal-to-temperature", "temperature-to-signal"],
          "What the table is read with, and what it gives.",
        ),
        signal: choiceField(["voltage", "counts", "resistance"], "The signal side of the table."),
        axis: oneOf(
          [
            axisFile(),
            listOf(elementSide("A breakpoint.", "20 degC"), "Breakpoints with their units.", 2, 4096),
          ],
          "a block with file, or a list of breakpoints with their units",
        ),
        "pull-up": quantityField("resistance", {
          about: "Resistor between supply and element, in the ECU.",
          example: "2.2 kohm",
          range: { over: 0 },
        }),
        supply: quantityField("voltage", {
          about: "Supply of the divider.",
          example: "5 V",
          range: { over: 0, to: 50 },
        }),
        converter: block({
          bits: wholeField("Bits of the converter.", 4, 24),
          reference: quantityField("voltage", {
            about: "Voltage of the largest count.",
            example: "5 V",
            range: { over: 0, to: 50 },
          }),
        }).optional(),
        band: spanField("temperature", {
          about: "Air temperatures over which the table must be right.",
          example: "-30 degC .. 110 degC",
          range: { from: 200, to: 450 },
        }),
        "fault-values": block({
          open: quantityField("temperature", {
            about: "What the table gives for a disconnected element.",
            example: "-40 degC",
            range: { over: 0, to: 500 },
          }),
          short: quantityField("temperature", {
            about: "What the table gives for a shorted element.",
            example: "140 degC",
            range: { over: 0, to: 500 },
          }),
        }).optional(),
        valid: anySpanField(["voltage", "count", "resistance"], {
          about: "Signals outside this span mean a broken wire or a short circuit.",
          example: "0.1 V .. 4.9 V",
          range: { from: 0 },
        }).optional(),
        outside,
        storage: oneOf(
          [
            choiceField(["none"], "Values are stored as they are."),
            block({
              step: anyQuantityField(["temperature difference", "voltage", "count", "resistance"], {
                about: "Smallest step of a stored value.",
                example: "0.75 K",
                range: { over: 0 },
              }),
              from: elementSide("Least stored value.", "-40 degC"),
              to: elementSide("Greatest stored value.", "150 degC"),
            }),
          ],
          "'none', or a block with step, from and to",
        ),
        fit,
        unit: textLineField("Unit of the written values.", 20),
      }).optional(),
    }),
    "temperature-element": block({ present: element().optional(), new: element() }).optional(),
    engine: block(
      engineKeys,
      "What scenarios and idle have in common; each may say its own instead.",
    ).optional(),
    scenarios: listOf(
      block({
        name: textLineField("Names the scenario in results.", 80),
        peak: flow("Largest flow, measured or wanted.", "210 g/s ± 3 %").optional(),
        log: block({
          file: fileField("CSV of a drive with units in its header.", "pull.csv"),
          airflow: textLineField("Name of its air flow column."),
          unit: unitField("mass flow", "Unit, for a header that names none.", "g/s").optional(),
          time: textLineField("Name of its time column."),
          sustained: quantityField("time", {
            about: "How long the flow must have stayed up to count: shorter peaks are taken for spikes.",
            example: "0.5 s",
            range: { over: 0, to: 60 },
          }),
          shared: quantityField("ratio", {
            about:
              "Standard uncertainty that the log and the new curve have in common, which cancels: the present table's, when the log was made with it and the new curve comes from it. None when left out.",
            example: "2 %",
            range: { from: 0, to: 0.3 },
            percent: true,
          }).optional(),
        }).optional(),
        engine: block(engineKeys).optional(),
        day: block(
          day,
          "The day of an engine's demand: the coldest, at the highest pressure, asks most.",
        ).optional(),
      }).check(exactlyOne([["peak"], ["log"], ["engine", "day"]])),
      "What the new meter will be asked to measure.",
      1,
      50,
    ),
    idle: block({
      airflow: flow("Flow at warm idle.", "3.2 g/s ± 10 %").optional(),
      engine: block(engineKeys).optional(),
      day: block(day).optional(),
    })
      .check(exactlyOne([["airflow"], ["engine", "day"]]))
      .optional(),
    restriction: block(
      {
        loss: uncertainField("ratio", {
          about: "Loss coefficient on the dynamic head in the open area.",
          example: "0.8 ± 0.2",
          range: { from: 0, to: 50 },
        }).optional(),
        drop: uncertainField("pressure difference", {
          about: "Measured pressure drop over the present meter.",
          example: "8 inH2O ± 0.5 inH2O",
          range: { over: 0, to: 50_000 },
        }).optional(),
        at: flow("Flow at that drop.", "200 g/s ± 3 %").optional(),
      },
      "What the present meter costs in pressure.",
    )
      .check(exactlyOne([["loss"], ["drop", "at"]]))
      .optional(),
    sweep: block(
      {
        from: quantityField("length", {
          about: "Smallest bore.",
          example: "64 mm",
          range: { over: 0, to: 0.5 },
        }),
        to: quantityField("length", {
          about: "Largest bore.",
          example: "100 mm",
          range: { over: 0, to: 0.5 },
        }),
        step: quantityField("length", { about: "Step.", example: "2 mm", range: { over: 0, to: 0.5 } }),
        limits: block({
          share: quantityField("ratio", {
            about: "Most of the usable signal that a scenario may use.",
            example: "90 %",
            range: { over: 0, to: 1 },
            percent: true,
          }).optional(),
          drop: quantityField("pressure difference", {
            about: "Largest drop over the meter.",
            example: "1 kPa",
            range: { over: 0 },
          }).optional(),
          "idle-signal": signal("Least signal at idle.", "1.8 kHz").optional(),
        }).optional(),
      },
      "Which bore? The same element in housings of a range of bores.",
    ).optional(),
    safety: block({
      "rich-bias": numberField(
        "Raise uncertain high-flow cells by this many standard uncertainties, so that the engine errs rich; 0 for none.",
        0,
        3,
      ),
      "high-flow-from": quantityField("mass flow", {
        about: "Flows from here on count as high.",
        example: "100 g/s",
        range: { over: 0, to: 5 },
      }),
    }),
  });
}
