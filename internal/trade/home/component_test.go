package home_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
)

func TestComponentIsReadInTheCallersWords(t *testing.T) {
	t.Parallel()
	for words, want := range map[string]home.Component{
		"window": home.Window, " Windows ": home.Window, "Window sill": home.WindowSill, "sills": home.WindowSill,
		"stair_tread": home.StairTread, "corner-board": home.CornerBoard, "shelves": home.Shelf,
		"window film": home.Unlisted, "": home.Unlisted, "s": home.Unlisted,
	} {
		require.Equal(t, want, home.ComponentOf(words), words)
	}
	require.Equal(t, home.StairTread, home.ComponentOf(home.StairTread.String()))
}

func TestSmallComponentsOfTheHousingRule(t *testing.T) {
	t.Parallel()
	for component, want := range map[home.Component]law.Tri{
		home.WindowSill: law.Yes, home.Baseboard: law.Yes, home.Trim: law.Yes, // 24 CFR 35.1350(d), the examples from memory
		home.Wall: law.No, home.Ceiling: law.No, home.Floor: law.No, home.Door: law.No, // 40 CFR 745.223, from memory
		home.Unlisted: law.Unknown,
	} {
		require.Equal(t, want, component.Small(), component.String())
	}
}
