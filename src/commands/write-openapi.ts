import 'reflect-metadata';
import { writeFileSync } from 'node:fs';
import { API_VERSION, ALL_ENDPOINTS } from '../application.js';
import { buildOpenApi } from '../platform/http/openapi.js';

/** `npm run write-openapi`: the API description on standard output; the build keeps it in a file for the server. */
const description = buildOpenApi(ALL_ENDPOINTS, API_VERSION);
const [, , file] = process.argv;
if (file === undefined) process.stdout.write(`${JSON.stringify(description, null, 2)}\n`);
else writeFileSync(file, JSON.stringify(description));
