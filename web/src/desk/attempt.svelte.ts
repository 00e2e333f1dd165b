/** Something that is asked of the server on a press: whether it is under way, and what came of it. */
export class Attempt {
  busy = $state(false)
  trouble = $state.raw<unknown>(null)
  /** What to say when it has been done; gone with the next try. */
  said = $state('')

  /** Do it; what stands in the way is kept as the trouble, and nothing is thrown. */
  async run(work: () => Promise<string | void>): Promise<void> {
    this.busy = true
    this.trouble = null
    this.said = ''
    try {
      this.said = (await work()) ?? ''
    } catch (refusal) {
      this.trouble = refusal
    } finally {
      this.busy = false
    }
  }
}
