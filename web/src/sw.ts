/** Keeps the taster's sheet on the phone, so that it opens without a network. */
import { cleanupOutdatedCaches, createHandlerBoundToURL, precacheAndRoute } from 'workbox-precaching'
import { NavigationRoute, registerRoute } from 'workbox-routing'

declare const self: ServiceWorkerGlobalScope

cleanupOutdatedCaches()
precacheAndRoute(self.__WB_MANIFEST)
registerRoute(
  new NavigationRoute(createHandlerBoundToURL('index.html'), {
    // Matched against path and search together.
    allowlist: [/^\/(\?|$)/, /^\/join(\/|\?|$)/, /^\/practice(\?|$)/, /^\/guide(\?|$)/],
  }),
)

// A new version waits until the person says so.
self.addEventListener('message', (event) => {
  if ((event.data as { type?: string } | null)?.type === 'SKIP_WAITING') void self.skipWaiting()
})
