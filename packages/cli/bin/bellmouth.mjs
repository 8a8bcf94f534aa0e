#!/usr/bin/env node
// A file of its own, so that package managers can link the command before the first build.
import "../dist/main.js";
