import 'reflect-metadata';
import { API_VERSION, ALL_ENDPOINTS } from '../application.js';
import { buildOpenApi } from '../platform/http/openapi.js';

/** `npm run write-openapi`: the API description on standard output. */
process.stdout.write(`${JSON.stringify(buildOpenApi(ALL_ENDPOINTS, API_VERSION), null, 2)}\n`);
