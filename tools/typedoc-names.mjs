// Names the modules of the API reference as they are imported: bellmouth/sensor, not bellmouth/src/sensor.
import { Converter, ReflectionKind } from "typedoc";

/** @param {import("typedoc").Application} app */
export function load(app) {
  app.converter.on(Converter.EVENT_RESOLVE_BEGIN, (context) => {
    for (const module of context.project.getReflectionsByKind(ReflectionKind.Module)) {
      const path = module.name.replace(/\/src(\/index)?(?=\/|$)/, "");
      module.name = path.startsWith("bellmouth") ? path : `@bellmouth/${path}`;
    }
  });
}
