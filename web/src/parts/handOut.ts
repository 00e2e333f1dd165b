/** Give a file to the device: share it where that is how files are saved, else download it. */
export async function handOutText(text: string, name: string, type: string): Promise<void> {
  const whole = new File([text], name, { type })
  const share = navigator as Partial<Navigator>
  if (matchMedia('(pointer: coarse)').matches && share.canShare?.({ files: [whole] })) {
    await navigator.share({ files: [whole], title: name })
    return
  }
  download(whole, name)
}

/** Let the browser keep a file under this name. */
export function download(file: Blob, name: string): void {
  const link = document.createElement('a')
  link.href = URL.createObjectURL(file)
  link.download = name
  link.click()
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000)
}
