import './look/tokens.css'
import './look/base.css'

import { mount } from 'svelte'
import App from './App.svelte'
import { applyTheme } from './look/theme'

applyTheme()

const target = document.getElementById('app')
if (target) mount(App, { target })
