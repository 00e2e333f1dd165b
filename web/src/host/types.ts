/** What the server says to a host, by the shapes of its OpenAPI document. */
import type { components, paths } from '../api/schema'

type Schemas = components['schemas']
export type Site = Schemas['SiteShown']
export type Seat = Schemas['SeatShown']
export type SeatAdded = Schemas['SeatAdded']
export type RunSheet = Schemas['RunSheet']
export type Batch = Schemas['BatchShown']
export type Page = Schemas['PageShown']
export type Loaded = Schemas['BundleLoaded']
export type Answers = Schemas['EntryAnswers']
export type Sheet = paths['/api/sheet']['get']['responses'][200]['content']['application/json']
