// The walls of the house. A room may import the rooms listed for it and nothing else of ours
// (see docs/decisions/0001-rooms.md); packages may import only packages to their left.
const allowed = {
  fault: [],
  units: ["fault"],
  fit: ["fault"],
  columns: ["fault", "units"],
  air: ["fault", "units"],
  curve: ["fault", "units"],
  sensor: ["fault", "units", "fit", "air", "curve"],
  intake: ["fault", "units", "fit", "air", "curve", "sensor"],
  drive: ["fault", "units", "columns", "fit", "air", "curve", "sensor"],
  text: ["fault", "units", "columns"],
  document: ["fault", "units", "columns", "fit", "air", "curve", "sensor", "intake", "drive", "text"],
  stage: [
    "fault",
    "units",
    "columns",
    "fit",
    "air",
    "curve",
    "sensor",
    "intake",
    "drive",
    "text",
    "document",
  ],
  account: ["fault", "units", "columns", "intake", "text", "document", "stage"],
  files: ["fault", "text", "document"],
};
const src = "^packages/bellmouth/src/";
const rooms = Object.entries(allowed).map(([room, may]) => ({
  name: `room-${room}`,
  severity: "error",
  from: { path: `${src}${room}/` },
  to: { path: `${src}(?!(${[room, ...may].join("|")})/)` },
}));
const library = (name, only) => ({
  name: `only-${only}-uses-${name}`,
  severity: "error",
  from: { path: src, pathNot: `${src}(${only})/` },
  to: { path: `node_modules/${name}/` },
});

module.exports = {
  forbidden: [
    { name: "no-cycles", severity: "error", from: {}, to: { circular: true } },
    ...rooms,
    library("mathjs", "text"),
    library("yaml", "text"),
    library("zod", "document|stage"),
    {
      name: "another-room-by-its-index",
      comment: "The three files named are imported apart: their room's index brings the matrix library.",
      severity: "error",
      from: { path: `${src}([a-z]+)/`, pathNot: "\\.test\\.ts$" },
      to: {
        path: `${src}(?!$1/)[a-z]+/`,
        pathNot: `${src}([a-z]+/index|fit/chebyshev|fit/distributions|curve/least-power)\\.ts$`,
      },
    },
    {
      name: "library-knows-no-other-package",
      severity: "error",
      from: { path: "^packages/bellmouth/" },
      to: { path: "^packages/(simulator|report|cli)/" },
    },
    {
      name: "simulator-shares-only-air-curve-sensor",
      severity: "error",
      from: { path: "^packages/simulator/src", pathNot: "\\.test\\.ts$" },
      to: {
        path: `(${src}(intake|drive|columns|text|document|stage|account|files)/|^packages/(report|cli)/)`,
      },
    },
    {
      name: "report-does-not-know-the-cli",
      severity: "error",
      from: { path: "^packages/report/" },
      to: { path: "^packages/(cli|simulator)/" },
    },
    {
      name: "no-file-system-below-the-cli",
      comment:
        "The library and the report are pure; only the CLI (and the log reader's file entry) touch files.",
      severity: "error",
      from: { path: "^packages/(bellmouth/src/(?!files/|drive/)|report/src)", pathNot: "\\.test\\.ts$" },
      to: { path: "^(node:)?(fs|child_process|net|http)(/promises)?$" },
    },
  ],
  options: {
    doNotFollow: { path: "node_modules" },
    exclude: { path: "(/dist/|\\.test\\.ts$)" },
    tsConfig: { fileName: "tsconfig.json" },
    tsPreCompilationDeps: true,
    enhancedResolveOptions: { exportsFields: ["exports"], conditionNames: ["types", "import", "default"] },
  },
};
