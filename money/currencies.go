package money

import "strings"

// The currencies of ISO 4217 that are in use, by the decimals of their minor unit: amendments up to CLDR 48.1.
const (
	hundredths = "AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BOV BRL BSD BTN BWP BYN BZD CAD CDF CHE CHF CHW CNY COP COU " +
		"CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR " +
		"KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MXV MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK " +
		"PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD " +
		"USN UYU UZS VED VES WST XAD XCD XCG YER ZAR ZMW ZWG"
	wholes         = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"
	thousandths    = "BHD IQD JOD KWD LYD OMR TND"
	tenThousandths = "CLF UYW"
)

// digitsOf is the number of decimals of a currency's minor unit; ok is false for what is no currency.
func digitsOf(code string) (digits int, ok bool) {
	for digits, codes := range [...]string{wholes, "", hundredths, thousandths, tenThousandths} {
		if len(code) == 3 && !strings.Contains(code, " ") && strings.Contains(codes, code) {
			return digits, true
		}
	}
	return 0, false
}

// sign is what stands before an amount for readers of British English; a code stands off by a space that does not
// break.
func sign(code string) string {
	switch code {
	case "EUR":
		return "€"
	case "GBP":
		return "£"
	case "USD":
		return "US$"
	case "AUD":
		return "A$"
	case "BRL":
		return "R$"
	case "CAD":
		return "CA$"
	case "CNY":
		return "CN¥"
	case "HKD":
		return "HK$"
	case "ILS":
		return "₪"
	case "INR":
		return "₹"
	case "JPY":
		return "JP¥"
	case "KRW":
		return "₩"
	case "MXN":
		return "MX$"
	case "NZD":
		return "NZ$"
	case "PHP":
		return "₱"
	case "TWD":
		return "NT$"
	case "VND":
		return "₫"
	case "XCD":
		return "EC$"
	case "XCG":
		return "Cg."
	case "XAF":
		return "FCFA\u00a0"
	case "XOF":
		return "F\u202fCFA\u00a0"
	case "XPF":
		return "CFPF\u00a0"
	}
	return code + "\u00a0"
}
