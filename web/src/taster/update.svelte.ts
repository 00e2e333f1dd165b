/** The service worker: it keeps the app on the phone, and a newer one waits to be asked for. */

class Update {
  /** A newer app is here and waits. */
  ready = $state(false)
  /** The browser did not take the worker, as where it does not trust the certificate. */
  refused = $state(false)
  #waiting: ServiceWorker | null = null
  #asked = false

  async start(): Promise<void> {
    if (!('serviceWorker' in navigator)) return
    const workers = navigator.serviceWorker
    workers.addEventListener('controllerchange', () => {
      // The first worker takes over a page that needs no reload; any tab may have asked.
      if (this.#asked || this.ready) location.reload()
    })
    try {
      const registration = await workers.register('/sw.js', { updateViaCache: 'none' })
      this.#watch(registration)
      document.addEventListener('visibilitychange', () => {
        if (document.visibilityState === 'visible') void registration.update().catch(() => null)
      })
    } catch (failure) {
      this.refused = true
      console.info('no service worker', failure)
    }
  }

  /** Use the newer app now; every mark is stored already. */
  take(): void {
    this.#asked = true
    if (this.#waiting) this.#waiting.postMessage({ type: 'SKIP_WAITING' })
    else location.reload()
  }

  #watch(registration: ServiceWorkerRegistration): void {
    this.#found(registration.waiting)
    registration.addEventListener('updatefound', () => {
      const coming = registration.installing
      coming?.addEventListener('statechange', () => {
        if (coming.state === 'installed') this.#found(registration.waiting)
      })
    })
  }

  #found(worker: ServiceWorker | null): void {
    if (!worker || !navigator.serviceWorker.controller) return
    this.#waiting = worker
    this.ready = true
  }
}

export const update = new Update()
