/** Short name of this build, from its sources; put in by Vite. */
declare const __BUILD__: string
