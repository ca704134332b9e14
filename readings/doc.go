// Package readings reads what instruments record: CSV with named columns of numbers and words, with one column for each of
// several sensors, and with a time that rises. Every fault names row, column, what is wrong and what was there.
package readings
