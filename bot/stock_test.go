package main

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/config"
)

func TestSampleOfTheStockListIsAGoodOne(t *testing.T) {
	e, err := newEngine(config.Settings{Stock: "../config/stock.sample.csv"})
	require.NoError(t, err)
	o := e.Read("A36 bracket cracked, 12 mm thick 100 mm long, sure A36").Observation
	j := e.Judge(o)
	require.NotNil(t, j.Consumables[0].Item)
	require.Equal(t, "LH-32", j.Consumables[0].Item.Item)
	require.Equal(t, 1, j.Consumables[0].Item.Packs)
}
