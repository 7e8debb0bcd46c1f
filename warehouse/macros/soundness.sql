{#-
    One scan that says of a model, in plain words, what does not hold of what its yml states under `meta`: the key is never
    repeated nor null, required columns are never null, coded columns hold allowed codes, every double is finite.
-#}
{% macro soundness(model, node) %}
    {% if execute %}
        select concat('{{ node.name }}: ', problems) as problems
        from (
            select concat_ws('; ', {{ complaints_about(model, node) | join(', ') }}) as problems
            from {{ model }}
        ) as counted
        where problems <> ''
    {% endif %}
{% endmacro %}

{% macro complaints_about(model, node) %}
    {% set meta = node.config.meta %}
    {% set key = meta.key | join(', ') %}
    {% set keys = 'select count(*) from (select distinct ' ~ key ~ ' from ' ~ model ~ ') as found' %}
    {% set found = [complaint('count(*) - (' ~ keys ~ ')', 'repeat the key ' ~ key)] %}
    {% for column in meta.key + meta.get('required', []) %}
        {% do found.append(complaint('count(*) - count(' ~ column ~ ')', 'have no ' ~ column)) %}
    {% endfor %}
    {% for column, codes in meta.get('allowed', {}).items() %}
        {% set unknown = column ~ " not in ('" ~ codes | join("', '") ~ "')" %}
        {% do found.append(complaint('count(case when ' ~ unknown ~ ' then 1 end)', 'have an unknown ' ~ column)) %}
    {% endfor %}
    {% for column in node.columns.values() if column.data_type == 'double' %}
        {% set endless = 'abs(' ~ column.name ~ ') > 1e300' %}
        {% do found.append(complaint('count(case when ' ~ endless ~ ' then 1 end)', 'have no finite ' ~ column.name)) %}
    {% endfor %}
    {{ return(found) }}
{% endmacro %}
