import { airKeys } from "../air-fields.js";
import {
  block,
  choiceField,
  exactlyOne,
  listOf,
  quantityField,
  textLineField,
  uncertainField,
  wholeField,
} from "../fields.js";
import { headerField } from "../header-field.js";
import { tableFileField } from "../table-file.js";

/** Shape of the restriction document. */
export function restrictionSchema() {
  const bore = (about: string) =>
    uncertainField("length", { about, example: "74 mm ± 0.1 mm", range: { over: 0, to: 0.5 } });
  const area = (about: string) =>
    uncertainField("area", { about, example: "4300 mm^2 ± 40 mm^2", range: { over: 0, to: 0.2 } });
  const pressure = (about: string, example: string) =>
    quantityField("pressure difference", { about, example, range: { from: 0, to: 20_000 } });
  return block({
    bellmouth: headerField("restriction", 1),
    title: textLineField("Names the job in results."),
    air: block(airKeys(), "Outside air during the readings."),
    elements: listOf(
      block({
        name: textLineField("Name of the part; also the name of its column in the readings.", 60),
        role: choiceField(["meter housing"], "Marks the air meter's housing.").optional(),
        bore: bore("Inner diameter that K and the Mach number refer to.").optional(),
        area: area("Open area, where the part is not round or a probe blocks some of it.").optional(),
        tapping: choiceField(
          ["total", "static"],
          "What the tapping at the end of the part reads: total (in a box or plenum, or a probe facing the stream), or static (flush with the wall of a duct).",
        ),
        "tapping-bore": bore("Bore where a static tapping sits; the part's own when left out.").optional(),
      }),
      "Parts of the tract in the order of the air, each up to its tapping.",
      1,
      20,
    ),
    readings: tableFileField(
      "CSV with columns pull, flow [g/s, …] or speed [rpm], and one for each element: the pressure at its end, below outside ([inH2O]) or absolute ([kPa absolute]).",
      "readings.csv",
      "pull, flow or speed, and the names of the parts",
    ),
    engine: block(
      {
        displacement: quantityField("volume", {
          about: "Swept volume of all cylinders.",
          example: "2.2 L",
          range: { over: 0, to: 0.03 },
        }),
        strokes: wholeField("Strokes of a cycle: 4 or 2.", 2, 4).refine((strokes) => strokes !== 3, {
          error: "4 or 2",
        }),
        "volumetric-efficiency": uncertainField("ratio", {
          about: "Air taken in over displacement at manifold density, at full throttle.",
          example: "93 % ± 3 %",
          range: { from: 0.1, to: 1.5 },
        }),
        "manifold-pressure": uncertainField("pressure", {
          about:
            "Absolute manifold pressure at full throttle of a boosted engine; without it the flow follows the pressure at the end of the tract.",
          example: "180 kPa absolute ± 3 kPa",
          range: { over: 0, to: 600_000 },
        }).optional(),
        "charge-temperature": uncertainField("temperature", {
          about:
            "Air in the manifold; the outside temperature when left out, which a boosted engine must not.",
          example: "45 degC ± 5 K",
          range: { from: 200, to: 450 },
        }).optional(),
      },
      "Where the readings are by engine speed: what the flow is computed from.",
    ).optional(),
    "pressure-reads": choiceField(
      ["below-outside", "gauge", "absolute"],
      "What a column with a bare unit means: the depression below outside (when left out), gauge (above outside: below zero in a tract), or absolute.",
    ).optional(),
    measured: choiceField(
      ["from-outside", "part-by-part"],
      "from-outside: each reading is the pressure below outside at the end of a part; part-by-part: the drop over that part alone, which is added up. from-outside when left out.",
    ).optional(),
    law: choiceField(
      ["linear-and-square", "square"],
      "Loss law of a part; linear-and-square when left out. The square alone needs fewer points and suits tracts without a filter.",
    ).optional(),
    independent: choiceField(
      ["points", "pulls"],
      "points: each reading scatters on its own; pulls: a whole pull lies high or low together. points when left out.",
    ).optional(),
    gauges: listOf(
      block({
        elements: listOf(textLineField("Name of an element.", 60), "Elements whose end it read.", 1, 20),
        zero: pressure("Standard uncertainty of its zero.", "10 Pa"),
        gain: quantityField("ratio", {
          about: "Standard uncertainty of its scale.",
          example: "1 %",
          range: { from: 0, to: 0.2 },
          percent: true,
        }),
      }),
      "Gauges with the errors they are known to have.",
      1,
      20,
    ).optional(),
    "gauge-step": pressure("Smallest step of the gauge's display or of the log.", "25 Pa").optional(),
    "reading-uncertainty": pressure(
      "Standard uncertainty of one reading, for readings too few to show their scatter.",
      "20 Pa",
    ).optional(),
    peak: quantityField("mass flow", {
      about: "Flow at which shares are stated; the highest measured when left out.",
      example: "125 g/s",
      range: { over: 0, to: 5 },
    }).optional(),
    changes: listOf(
      block({
        remove: textLineField("Element to take out.", 60).optional(),
        left: block(
          {
            bore: bore("Bore of what is left in its place, a bare inlet for example."),
            k: uncertainField("ratio", {
              about:
                "Its loss coefficient: about 0.5 for a sharp edge, 0.05 for a bellmouth (handbook values); 0 for nothing.",
              example: "0.5 ± 0.15",
              range: { from: 0, to: 100 },
            }),
          },
          "What is left when the element is taken out.",
        ).optional(),
        element: textLineField("Element whose bore changes.", 60).optional(),
        bore: bore("New inner diameter.").optional(),
        "k-ratio": uncertainField("ratio", {
          about: "New K over old K: 1 for the same shape in another size; say how unsure you are.",
          example: "1 ± 0.15",
          range: { from: 0, to: 100 },
        }).optional(),
        ducts: quantityField("length", {
          about:
            "Bore of the ducts on both sides, where they stay as they are and the new part makes steps to them.",
          example: "76 mm",
          range: { over: 0, to: 0.5 },
        }).optional(),
      }).check(
        exactlyOne([
          ["remove", "left"],
          ["element", "bore", "k-ratio"],
        ]),
      ),
      "Changes to predict.",
      1,
      20,
    ).optional(),
  });
}
