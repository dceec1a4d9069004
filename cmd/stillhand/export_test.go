package main

// Main lets scripts run the program inside the test binary.
var Main = main
