"""Marks as ordered steps, no more: does the order of the wines lean on the scale?"""
